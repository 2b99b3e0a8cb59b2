//! The order of the job: from a project to everything worked out.
//!
//! [`Reduction`] is what recordings of one configuration come to without a project, [`Sheet`] what a whole project
//! comes to. Both are plain values: faces show them and work out nothing.

mod deployment;
mod doubts;
mod failure_tree;
mod from_memory;
mod hanging;
mod hows;
mod landing;
mod load_path;
mod loads;
mod memo;
mod number;
mod opening;
mod outcome;
mod packing;
mod place;
mod plan;
mod reduce;
mod reduction;
mod sheet;
mod watch;
mod work;

pub use deployment::{ChargeSheet, DeploymentSheet};
pub use failure_tree::FailureSheet;
pub use from_memory::FromMemory;
pub use hanging::{
    HangDrawing, HangSheet, HarnessSheet, LegSheet, LikenessSheet, PointSheet, RiggingSheet, TiltSheet,
};
pub use landing::{
    AskedWind, BetterPadSheet, CaseLandingSheet, ContributionSheet, GoNoGoSheet, InsideSheet, KeepOutSheet,
    LandingSheet, MapSheet, MixSheet, OpeningPoint, OpeningSheet, RangeSheet, RegionSheet, RingsSheet,
    SensitivitySheet, TrackPoint,
};
pub use load_path::{
    BorneSheet, DesignFactorSheet, MarginSheet, MemberSheet, RowSheet, ShakenSheet, ShockSheet, StrengthSheet,
};
pub use loads::{LoadSheet, PullSheet, SnatchSheet, StepsSheet, WorstSheet};
pub use memo::Memo;
pub use number::Number;
pub use opening::{AskedSheet, ForceLine, LagSheet, OpeningsSheet, ReefingRow, ReefingSheet, TraceSheet};
pub use outcome::Outcome;
pub use packing::{ContentSheet, OfferFitSheet, PackingSheet};
pub use plan::{BeginsSheet, CommonWindSheet, EventSheet, PlanPartSheet, PlanSheet};
pub use reduce::{DayAir, Input, Moment, ReduceOptions, Stretch, quoted, reduce};
pub use reduction::{
    Bound, ColumnRead, Doubt, DoubtCure, DropRate, Group, Outline, PooledRate, RateBound, ReducedDrop,
    ReducedRecording, Reduction, SpellRead, Trace, TraceLine,
};
pub use sheet::{
    AtMedians, CandidateCase, CandidateSheet, CandidateStanding, CaseSheet, Choice, CostsSheet, DragSheet,
    Effort, Factor, Falls, FallsItem, FullSize, LimitSheet, NeighbourSheet, NotToldApart, PartSheet,
    Residual, RestsOn, Reynolds, SessionSheet, Sheet, Step, Tally, TestSheet, Unknown,
};
pub use silkfall_core::candidates::{Beside, By, Cost};
pub use silkfall_core::cases::Verdict;
pub use silkfall_core::drag::Interval;
pub use silkfall_core::load_path::{Carries, Factor as DesignFactor, MemberKind};
pub use silkfall_core::loads::{Event, Method, NoLoad};
pub use watch::{CasesWorked, LandingTold, Stage, Stopped, TestTold, Unwatched, Watch};
pub use work::{Loaded, work};
