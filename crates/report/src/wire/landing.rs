//! Landings in `assess --json` and `land --json`.

use schemars::JsonSchema;
use serde::Serialize;
use silkfall_sheet::{
    AskedWind, BetterPadSheet, CaseLandingSheet, ContributionSheet, GoNoGoSheet, InsideSheet, KeepOutSheet,
    LandingSheet, MapSheet, MixSheet, OpeningPoint, OpeningSheet, RangeSheet, RegionSheet, RingsSheet,
    SensitivitySheet, Sheet,
};

use super::common::{FindingJson, NumberJson, each, number};

/// The whole of `land --json`.
#[derive(Serialize, JsonSchema)]
pub struct LandJson {
    /// Version of these shapes.
    format: u32,
    /// The project's name.
    name: String,
    /// The same inputs have the same fingerprint.
    fingerprint: String,
    /// Trials of the cases; a landing states its own.
    trials: usize,
    /// Seed of all trials.
    seed: u64,
    /// `done`, `limit missed` or `no answer`.
    outcome: &'static str,
    /// By part and case.
    landing: Vec<LandingJson>,
    /// Winds that are allowed, by part, case and direction.
    go_no_go: Vec<GoNoGoJson>,
    /// What was noticed, the gravest first.
    findings: Vec<FindingJson>,
}

/// Projects the landings of a sheet.
pub fn land_json(sheet: &Sheet) -> LandJson {
    LandJson {
        format: 1,
        name: sheet.name.clone(),
        fingerprint: sheet.fingerprint.clone(),
        trials: sheet.trials,
        seed: sheet.seed,
        outcome: sheet.outcome.words(),
        landing: each(&sheet.landing),
        go_no_go: each(&sheet.go_no_go),
        findings: each(&sheet.findings),
    }
}

/// Landings of one part. Places are metres east and north of the pad.
#[derive(Serialize, JsonSchema)]
pub struct LandingJson {
    /// The part.
    name: String,
    /// Trials behind places and shares.
    trials: usize,
    /// Trials behind the winds that are allowed; 0 where they were not asked for.
    trials_for_winds: usize,
    /// From where, through which wind, in which stages.
    says: Vec<String>,
    /// Share of landings wanted inside the field; null without a field.
    wanted_inside: Option<NumberJson>,
    ground_wind: NumberJson,
    /// Where it blows from, clockwise from true north.
    wind_from: NumberJson,
    /// What winds above do when another ground wind is asked about: `in proportion`, `added` (calm at the ground) or `at
    /// the ground` (its change fades with height).
    asked_wind: &'static str,
    /// Height above the field by which a change of the ground wind has faded; null where none fades.
    fades_by: Option<NumberJson>,
    /// Height of the start above the field's ground.
    top: NumberJson,
    cases: Vec<CaseLandingJson>,
    /// All cases by their chances.
    mix: Option<MixJson>,
    opening: Option<OpeningJson>,
    /// Null at quick effort.
    map: Option<MapJson>,
}

impl From<&LandingSheet> for LandingJson {
    fn from(landing: &LandingSheet) -> Self {
        LandingJson {
            name: landing.part.clone(),
            trials: landing.trials,
            trials_for_winds: landing.trials_for_winds,
            says: landing.says.clone(),
            wanted_inside: number(&landing.wanted_inside),
            ground_wind: (&landing.ground_wind).into(),
            wind_from: (&landing.wind_from).into(),
            asked_wind: landing.asked_wind.name(),
            fades_by: match &landing.asked_wind {
                AskedWind::AtTheGround(by) => Some(by.into()),
                AskedWind::InProportion | AskedWind::Added => None,
            },
            top: (&landing.top).into(),
            cases: each(&landing.cases),
            mix: landing.mix.as_ref().map(MixJson::from),
            opening: landing.opening.as_ref().map(OpeningJson::from),
            map: landing.map.as_ref().map(MapJson::from),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct CaseLandingJson {
    id: String,
    /// As it enters the mix.
    chance: Option<NumberJson>,
    chance_source: Option<String>,
    time_aloft: Option<NumberJson>,
    /// Speed down at the ground.
    rate: Option<NumberJson>,
    over_ground: Option<NumberJson>,
    energy: Option<NumberJson>,
    energy_down: Option<NumberJson>,
    energy_over_ground: Option<NumberJson>,
    /// Distance from the pad.
    drift: Option<NumberJson>,
    /// Of the mean place from the pad, clockwise from true north.
    bearing: Option<NumberJson>,
    /// Share inside the field and off every place to keep out of.
    inside: Option<NumberJson>,
    inside_at_worst: Option<NumberJson>,
    inside_standard_error: Option<f64>,
    keep_outs: Vec<KeepOutJson>,
    verdict: &'static str,
    contributions: Vec<ContributionJson>,
    missing: Option<String>,
    /// The fall nearest to the middle: s, m up, m east, m north.
    track: Vec<[f64; 4]>,
}

impl From<&CaseLandingSheet> for CaseLandingJson {
    fn from(case: &CaseLandingSheet) -> Self {
        let inside = case.inside.as_ref();
        CaseLandingJson {
            id: case.case.clone(),
            chance: number(&case.chance),
            chance_source: case.chance_source.clone(),
            time_aloft: number(&case.time_aloft),
            rate: number(&case.rate),
            over_ground: number(&case.over_ground),
            energy: number(&case.energy),
            energy_down: number(&case.energy_down),
            energy_over_ground: number(&case.energy_over_ground),
            drift: number(&case.drift),
            bearing: number(&case.bearing),
            inside: inside.map(|inside| (&inside.share).into()),
            inside_at_worst: inside.map(|inside| (&inside.at_worst).into()),
            inside_standard_error: inside.map(|inside| inside.standard_error),
            keep_outs: each(&case.keep_outs),
            verdict: case.verdict.word(),
            contributions: each(&case.contributions),
            missing: case.missing.clone(),
            track: case.track.iter().map(|at| [at.time_s, at.height_m, at.east_m, at.north_m]).collect(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct KeepOutJson {
    name: String,
    share: NumberJson,
}

impl From<&KeepOutSheet> for KeepOutJson {
    fn from(area: &KeepOutSheet) -> Self {
        KeepOutJson { name: area.name.clone(), share: (&area.share).into() }
    }
}

#[derive(Serialize, JsonSchema)]
struct ContributionJson {
    /// The ledger's id; `remainder`: what no single input explains.
    id: String,
    meaning: String,
    /// Share of the variance of the place.
    share: NumberJson,
}

impl From<&ContributionSheet> for ContributionJson {
    fn from(contribution: &ContributionSheet) -> Self {
        ContributionJson {
            id: contribution.id.clone().unwrap_or_else(|| "remainder".to_owned()),
            meaning: contribution.meaning.clone(),
            share: (&contribution.share).into(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct MixJson {
    inside: Option<NumberJson>,
    inside_at_worst: Option<NumberJson>,
    inside_standard_error: Option<f64>,
    /// With the top of flight fixed, where the start follows the wind.
    inside_with_top_fixed: Option<NumberJson>,
    inside_with_top_fixed_at_worst: Option<NumberJson>,
    keep_outs: Vec<KeepOutJson>,
    verdict: &'static str,
    /// The share inside with a failure's chance at nothing and at three times.
    sensitivity: Vec<SensitivityJson>,
    better_pad: Option<BetterPadJson>,
}

impl From<&MixSheet> for MixJson {
    fn from(mix: &MixSheet) -> Self {
        let share = |inside: &Option<InsideSheet>| inside.as_ref().map(|inside| (&inside.share).into());
        let worst = |inside: &Option<InsideSheet>| inside.as_ref().map(|inside| (&inside.at_worst).into());
        MixJson {
            inside: share(&mix.inside),
            inside_at_worst: worst(&mix.inside),
            inside_standard_error: mix.inside.as_ref().map(|inside| inside.standard_error),
            inside_with_top_fixed: share(&mix.inside_with_top_fixed),
            inside_with_top_fixed_at_worst: worst(&mix.inside_with_top_fixed),
            keep_outs: each(&mix.keep_outs),
            verdict: mix.verdict.word(),
            sensitivity: each(&mix.sensitivity),
            better_pad: mix.better_pad.as_ref().map(BetterPadJson::from),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct SensitivityJson {
    /// The case.
    id: String,
    never: NumberJson,
    thrice: NumberJson,
}

impl From<&SensitivitySheet> for SensitivityJson {
    fn from(one: &SensitivitySheet) -> Self {
        SensitivityJson { id: one.case.clone(), never: (&one.never).into(), thrice: (&one.thrice).into() }
    }
}

/// Where the pad would better stand, or the top of flight be aimed by as much.
#[derive(Serialize, JsonSchema)]
struct BetterPadJson {
    distance: NumberJson,
    bearing: NumberJson,
    share: NumberJson,
    share_now: NumberJson,
}

impl From<&BetterPadSheet> for BetterPadJson {
    fn from(pad: &BetterPadSheet) -> Self {
        BetterPadJson {
            distance: (&pad.distance).into(),
            bearing: (&pad.bearing).into(),
            share: (&pad.share).into(),
            share_now: (&pad.share_now).into(),
        }
    }
}

/// Winds that are allowed for one part, case and direction.
#[derive(Serialize, JsonSchema)]
pub struct GoNoGoJson {
    /// Part, case or `mix`, degrees.
    id: String,
    part: String,
    /// Null: all cases by their chances.
    case: Option<String>,
    /// Where the ground wind blows from.
    from: NumberJson,
    /// Ranges of the ground wind in which at least the wanted share lands inside.
    ranges: Vec<RangeJson>,
    /// Ranges in which that is 95 % sure.
    sure_ranges: Vec<RangeJson>,
    /// Speeds flown, m/s.
    speeds_m_s: Vec<f64>,
    /// Share inside at each.
    shares: Vec<f64>,
}

impl From<&GoNoGoSheet> for GoNoGoJson {
    fn from(allowed: &GoNoGoSheet) -> Self {
        GoNoGoJson {
            id: allowed.id.clone(),
            part: allowed.part.clone(),
            case: allowed.case.clone(),
            from: (&allowed.from).into(),
            ranges: each(&allowed.ranges),
            sure_ranges: each(&allowed.sure_ranges),
            speeds_m_s: allowed.speeds_m_per_s.clone(),
            shares: allowed.shares.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
pub(super) struct RangeJson {
    low: NumberJson,
    high: NumberJson,
    /// The upper end is the strongest wind that was flown.
    reaches_beyond: bool,
}

impl From<&RangeSheet> for RangeJson {
    fn from(range: &RangeSheet) -> Self {
        RangeJson {
            low: (&range.low).into(),
            high: (&range.high).into(),
            reaches_beyond: range.reaches_beyond,
        }
    }
}

/// The lowest safe height to open the main, and what a higher one costs.
#[derive(Serialize, JsonSchema)]
struct OpeningJson {
    stage: String,
    planned: NumberJson,
    /// In filling and settling, 95 of 100 flights.
    lost: NumberJson,
    /// While a failure is noticed and acted on.
    reacting: NumberJson,
    lowest: NumberJson,
    curve: Vec<OpeningPointJson>,
}

impl From<&OpeningSheet> for OpeningJson {
    fn from(opening: &OpeningSheet) -> Self {
        OpeningJson {
            stage: opening.stage.clone(),
            planned: (&opening.planned).into(),
            lost: (&opening.lost).into(),
            reacting: (&opening.reacting).into(),
            lowest: (&opening.lowest).into(),
            curve: each(&opening.curve),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct OpeningPointJson {
    height_m: f64,
    /// 95 of 100 landings lie no further from the pad, m.
    drift_m: f64,
    inside: Option<f64>,
    /// Share of flights with room to react, fill and settle.
    in_time: f64,
}

impl From<&OpeningPoint> for OpeningPointJson {
    fn from(at: &OpeningPoint) -> Self {
        let OpeningPoint { height_m, drift_m, inside, in_time } = *at;
        OpeningPointJson { height_m, drift_m, inside, in_time }
    }
}

/// What the map is drawn of; m east and north of the pad.
#[derive(Serialize, JsonSchema)]
struct MapJson {
    /// Degrees north and east.
    pad: Option<[f64; 2]>,
    edges: Vec<RingsJson>,
    keep_outs: Vec<RingsJson>,
    regions: Vec<RegionJson>,
    /// The case that does worst, and its widest region.
    worst_case: Option<String>,
    worst_region: Vec<RingsJson>,
    /// Case by its place in the list, m east, m north.
    samples: Vec<(usize, [f64; 2])>,
}

impl From<&MapSheet> for MapJson {
    fn from(map: &MapSheet) -> Self {
        MapJson {
            pad: map.pad,
            edges: each(&map.edges),
            keep_outs: each(&map.keep_outs),
            regions: each(&map.regions),
            worst_case: map.worst.as_ref().map(|(case, _)| case.clone()),
            worst_region: map.worst.as_ref().map(|(_, rings)| each(rings)).unwrap_or_default(),
            samples: map.samples.clone(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct RingsJson {
    name: Option<String>,
    /// Outer ring first, then holes; first and last place alike.
    rings: Vec<Vec<[f64; 2]>>,
}

impl From<&RingsSheet> for RingsJson {
    fn from(rings: &RingsSheet) -> Self {
        RingsJson { name: rings.name.clone(), rings: rings.rings.clone() }
    }
}

#[derive(Serialize, JsonSchema)]
struct RegionJson {
    share: f64,
    polygons: Vec<RingsJson>,
}

impl From<&RegionSheet> for RegionJson {
    fn from(region: &RegionSheet) -> Self {
        RegionJson { share: region.share, polygons: each(&region.polygons) }
    }
}
