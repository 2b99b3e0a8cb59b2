//! From what the project says of wind, start and stages to what core flies: every value an entry of the ledger.
//!
//! What differs from flight to flight (wind, start, heights of opening) is drawn anew for each; what is fixed but not known
//! (the drag area of a drogue) once a world. A wind, a law or a stage that is not stated is assumed, and said.

use silkfall_core::air::site;
use silkfall_core::cases::Rig;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::full_size::Offer;
use silkfall_core::landing::{
    Brakes, Column, DayWind, FILL_GROWTH, GroundAir, Gusts, Lean, LeanRow, PlannedBegin, PlannedFill,
    PlannedStage, Scaled, StartLaw, Towards,
};
use silkfall_core::ledger::{Distribution, Entry, Estimate, LedgerId, Sharing, Trust};
use silkfall_core::maths::sqrt;
use silkfall_core::quantity::{Angle, Length, Velocity};
use silkfall_core::wind::{Foot, GroundWind, HeightIs, Law, Profile, Terrain};
use silkfall_project::Project;
use silkfall_project::landing::{self as said, ByWind, Whose};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Measured, Quantity};
use silkfall_project::words;
use uom::si::angle::radian;
use uom::si::length::meter;

use super::super::canopy::Canopy;
use super::super::notes::Notes;
use super::super::reefing;
use super::super::session::PlaceWorked;
use super::super::tests::{entry, exact_or};

/// Height at which a ground wind is read where the project does not say, m: the height that weather services report.
const GROUND_HEIGHT_M: f64 = 10.0;
/// Height by which a changed ground wind has faded out where the project does not say, m: a judgement of ours.
const FADES_BY_M: f64 = 500.0;
/// Diameters a canopy fills over, and their doubt from flight to flight, where the project does not say: solid cloth, from
/// memory of Knacke, Parachute Recovery Systems Design Manual (1992), table 5-6; the spread is the handbook's from five
/// to eleven.
const FILL_DIAMETERS: (f64, f64) = (8.0, 1.5);
/// Coefficient by which a drag area that is stated alone is given a diameter to fill over: a judgement of ours.
const COEFFICIENT_OF_AN_AREA: f64 = 0.75;
/// Doubts of winds by height where the project does not say: of all speeds together, of all directions, rad, of a component at
/// a level, m/s, and the height over which that is correlated, m. Judgements of ours for a table some hours old.
const TABLE_DOUBT: (f64, f64, f64, f64) = (0.15, 0.17, 1.0, 1_000.0);
/// The same for a reading at the field carried up by a law: what the law does not know grows with height.
const LAW_DOUBT: (f64, f64, f64, f64) = (0.15, 0.17, 1.0, 500.0);

/// What a part falls through and how, ready for core.
pub(in crate::work) struct Planned {
    pub column: Column,
    pub stages: Vec<PlannedStage>,
    pub start: StartLaw,
    pub wind: DayWind,
    /// What was taken and from where, in sentences.
    pub says: Vec<String>,
}

/// Where a plan is read from.
pub(in crate::work) struct Reading<'a> {
    pub project: &'a Project,
    pub part: &'a Part,
    pub site: &'a PlaceWorked,
    pub rig: &'a Rig,
    pub offer: Option<&'a Offer>,
}

impl Reading<'_> {
    /// The plan, or what is missing for it in a sentence.
    pub fn plan(&self, notes: &mut Notes) -> Result<Planned, String> {
        let mut says = Vec::new();
        let start = self.start(notes, &mut says)?;
        let top_m = start.top_m.value;
        let wind = self.wind(top_m, notes, &mut says)?;
        let stages = self.stages(notes, &mut says)?;
        let subject = Subject::Key("site".to_owned());
        let density = site::density(&self.site.air, &subject).map_err(|error| error.to_string())?;
        let elevation =
            self.project.site.air.elevation.given().map_or(Length::new::<meter>(0.0), Quantity::value);
        let ground = GroundAir::of_site(&density, &site::gravity_at(&self.site.air), elevation);
        let column = Column::new(&ground, Length::new::<meter>(1.5 * top_m));
        Ok(Planned { column, stages, start, wind, says })
    }

    fn start(&self, notes: &mut Notes, says: &mut Vec<String>) -> Result<StartLaw, String> {
        let top_m = self.flight("top", "height of the start", |flight| &flight.top, notes);
        let top_m = top_m
            .ok_or_else(|| "the height at which the fall starts is not stated: [flight] top".to_owned())?;
        let nothing = || Estimate::exact(0.0);
        let east = self.flight("east", "place of the start, east", |flight| &flight.east, notes);
        let north = self.flight("north", "place of the start, north", |flight| &flight.north, notes);
        let speed = self.flight("speed", "speed over ground at the start", |flight| &flight.speed, notes);
        let (towards, whose) = self.project.flight_key(self.part, |flight| &flight.towards);
        let towards = match towards.given() {
            Some(said::Towards::Bearing(angle)) => {
                let id = self.id(whose, "towards");
                Towards::Fixed(drawn(id, "direction of the start", angle, Sharing::Flight, notes))
            }
            Some(said::Towards::IntoTheWind) => Towards::IntoWind,
            Some(said::Towards::Any) | None => Towards::Any,
        };
        let lean = self.lean(notes);
        if lean == Lean::NotStated {
            says.push("Top of flight fixed: how the climb leans into the wind is not stated.".to_owned());
        }
        Ok(StartLaw {
            top_m,
            east_m: east.unwrap_or_else(nothing),
            north_m: north.unwrap_or_else(nothing),
            speed_m_per_s: speed.unwrap_or_else(nothing),
            towards,
            lean,
        })
    }

    fn id(&self, whose: Whose, key: &str) -> LedgerId {
        match whose {
            Whose::Part => LedgerId(format!("part.{}.flight.{key}", self.part.name.value)),
            Whose::All => LedgerId(format!("flight.{key}")),
        }
    }

    fn flight<Q: Measured + 'static>(
        &self,
        key: &str,
        meaning: &str,
        of: impl Fn(&said::Flight) -> &Known<Quantity<Q>>,
        notes: &mut Notes,
    ) -> Option<Estimate> {
        let (known, whose) = self.project.flight_key(self.part, of);
        known.given().map(|quantity| drawn(self.id(whose, key), meaning, quantity, Sharing::Flight, notes))
    }

    fn lean(&self, notes: &mut Notes) -> Lean {
        let (by_wind, whose) = self.project.by_wind(self.part);
        match by_wind {
            ByWind::Fixed => Lean::NotStated,
            ByWind::Law(law) => {
                let nothing = || Estimate::exact(0.0);
                let ids =
                    ["upwind_per_wind", "top_per_wind", "speed_per_wind"].map(|key| self.id(whose, key));
                let [of_upwind, of_top, of_speed] = ids;
                let flown = Sharing::Flight;
                let upwind_s = law.upwind.given().map(|upwind| {
                    drawn(of_upwind.clone(), "lean of the climb into the wind", upwind, flown, notes)
                });
                let top_s = law.top.given().map(|top| {
                    let alone = drawn(of_top.clone(), "loss of height by the wind", top, flown, notes);
                    let correlation = law.correlation.given().map_or(0.0, Quantity::si).clamp(-1.0, 1.0);
                    let sd = top.standard_uncertainty_si();
                    if upwind_s.is_none() || sd <= 0.0 {
                        return alone;
                    }
                    exact_or(alone.value, of_top, sd * sqrt(1.0 - correlation * correlation)).with(
                        of_upwind,
                        sd * correlation,
                        f64::INFINITY,
                    )
                });
                let speed = law
                    .speed
                    .given()
                    .map(|speed| drawn(of_speed, "speed at the top by the wind", speed, flown, notes));
                Lean::Linear {
                    upwind_s: upwind_s.unwrap_or_else(nothing),
                    top_s: top_s.unwrap_or_else(nothing),
                    speed: speed.unwrap_or_else(nothing),
                }
            }
            ByWind::Table(rows) => {
                let calm = |known: &Known<Quantity<Length>>| known.given().map(Quantity::si);
                let (top, _) = self.project.flight_key(self.part, |flight| &flight.top);
                let (speed, _) = self.project.flight_key(self.part, |flight| &flight.speed);
                let row = |row: &said::WithWind| LeanRow {
                    wind_m_per_s: row.wind.value.si(),
                    upwind_m: calm(&row.upwind).unwrap_or(0.0),
                    top_m: calm(&row.top).or_else(|| calm(top)).unwrap_or(0.0),
                    speed_m_per_s: row.speed.given().or(speed.given()).map_or(0.0, Quantity::si),
                };
                Lean::Table(rows.iter().map(row).collect())
            }
        }
    }

    fn wind(&self, top_m: f64, notes: &mut Notes, says: &mut Vec<String>) -> Result<DayWind, String> {
        let wind = &self.project.wind;
        let ground_height_m = wind.measured_at.given().map_or(GROUND_HEIGHT_M, Quantity::si);
        let by_law = self.by_law(ground_height_m, top_m, notes, says)?;
        let (profile, default) = match self.table(by_law.as_ref(), says)? {
            Some(profile) => {
                if let Some(missing_m) = profile.short_of_m(top_m) {
                    let message = format!(
                        "the winds end {missing_m:.0} m below the top of the fall; above them the last wind is held"
                    );
                    notes.find(self.in_winds(message));
                }
                (profile, TABLE_DOUBT)
            }
            None => match by_law {
                Some((_, profile)) => (profile, LAW_DOUBT),
                None => {
                    says.push("Calm: no wind is stated.".to_owned());
                    let message = "no wind is stated: the fall is worked in calm".to_owned();
                    notes.find_at(Code::WindNotStated, "wind", wind.spot, message);
                    (Profile::still(), (0.0, 0.0, 0.0, TABLE_DOUBT.3))
                }
            },
        };
        let (speed_sd, turn_sd, level_sd, correlation_m) = default;
        let relative = |speed: &Quantity<Velocity>| speed.standard_uncertainty_si() / speed.si().max(0.1);
        let of_reading = wind.speed.given().map(relative).filter(|doubt| *doubt > 0.0);
        let stated_speed = wind.speed_doubt.given().map(Quantity::si).or(of_reading);
        let of_direction =
            wind.from.given().map(Quantity::standard_uncertainty_si).filter(|doubt| *doubt > 0.0);
        let stated_turn = wind.direction_doubt.given().map(Quantity::si).or(of_direction);
        let stated_level = wind.level_doubt.given().map(Quantity::si);
        let mut assumed = |stated: Option<f64>, default: f64, said: String| {
            if stated.is_none() && default > 0.0 {
                says.push(said);
            }
            stated.unwrap_or(default)
        };
        let speed_sd = assumed(
            stated_speed,
            speed_sd,
            format!("Doubt of the wind's speed not stated: {:.0} % is taken.", 100.0 * speed_sd),
        );
        let turn_sd = assumed(
            stated_turn,
            turn_sd,
            format!("Doubt of its direction not stated: {:.0}° is taken.", turn_sd.to_degrees()),
        );
        let level_m_per_s = assumed(
            stated_level,
            level_sd,
            format!("Doubt of the wind at each height not stated: {level_sd:.0} m/s a component is taken."),
        );
        let trust = |is_stated: bool| match is_stated {
            true => Trust::Given,
            false => Trust::Assumed("a judgement of ours for a wind that may be some hours old".to_owned()),
        };
        let rising = match wind.rising_air.given() {
            Some(rising) => {
                drawn("wind.rising_air".into(), "rising or sinking air", rising, Sharing::Flight, notes)
            }
            None => Estimate::exact(0.0),
        };
        Ok(DayWind {
            profile,
            ground_height_m,
            ln_speed_factor: speed_factor(speed_sd, trust(stated_speed.is_some()), notes),
            turn_rad: flown(
                "wind.from",
                "direction of the wind",
                0.0,
                turn_sd,
                trust(stated_turn.is_some()),
                notes,
            ),
            level_m_per_s,
            level_correlation_m: wind.level_correlation.given().map_or(correlation_m, Quantity::si),
            rising_m_per_s: rising,
            gusts: match wind.gusts.given() {
                Some(words::Gusts::LowAltitudeDryden) => Gusts::Dryden,
                Some(words::Gusts::None) | None => Gusts::Off,
            },
            scaled: match wind.scaled.given() {
                Some(words::Scaled::Ground) => {
                    Scaled::Ground { fades_by_m: wind.fades_by.given().map_or(FADES_BY_M, Quantity::si) }
                }
                Some(words::Scaled::All) | None => Scaled::All,
            },
        })
    }

    /// What is found about the highest of the winds by height, where it stands.
    fn in_winds(&self, message: String) -> Finding {
        let file = self.project.winds_file.given().cloned().unwrap_or_default();
        let spot = self.project.winds.as_ref().map(|winds| winds.highest);
        Finding::new(Code::WindsEndLow, Subject::Key("winds".to_owned()), message).at(
            file,
            spot.map(|spot| spot.line),
            spot.map(|spot| spot.column),
        )
    }

    /// The wind by height from the reading near the ground.
    fn by_law(
        &self,
        measured_at_m: f64,
        top_m: f64,
        notes: &mut Notes,
        says: &mut Vec<String>,
    ) -> Result<Option<(Law, Profile)>, String> {
        let wind = &self.project.wind;
        let law = self.law(says);
        let Some(speed) = wind.speed.given() else { return Ok(None) };
        let from = match wind.from.given() {
            Some(from) => from.value(),
            None if speed.si() > 0.0 => {
                let message = "a wind is stated, and not where it blows from".to_owned();
                notes.find_at(Code::WindNotStated, "wind.from", wind.spot, message);
                return Err("where the wind blows from is not stated: [wind] from".to_owned());
            }
            None => Angle::new::<radian>(0.0),
        };
        let ground =
            GroundWind { speed: speed.value(), from, measured_at: Length::new::<meter>(measured_at_m) };
        let profile = Profile::of_law(&ground, law, 1.3 * top_m).map_err(|error| error.to_string())?;
        Ok(Some((law, profile)))
    }

    fn law(&self, says: &mut Vec<String>) -> Law {
        let wind = &self.project.wind;
        let terrain = wind.terrain.given().copied();
        if let Some(exponent) = wind.exponent.given() {
            return Law::Power { exponent: exponent.si() };
        }
        if wind.law.given() == Some(&words::LawOfHeight::Power) {
            says.push("The wind grows with height to the power 1/7: no exponent is stated.".to_owned());
            return Law::Power { exponent: 1.0 / 7.0 };
        }
        match (wind.roughness.given(), terrain) {
            (Some(roughness), _) => Law::Logarithmic { roughness: roughness.value() },
            (None, Some(terrain)) => terrain.law(),
            (None, None) => {
                if wind.speed.given().is_some() {
                    says.push(
                        "The wind grows with height as over open grass: no terrain is stated.".to_owned(),
                    );
                }
                Terrain::OpenGrass.law()
            }
        }
    }

    /// The wind by height from the winds file, led down to the ground by the law.
    fn table(
        &self,
        by_law: Option<&(Law, Profile)>,
        says: &mut Vec<String>,
    ) -> Result<Option<Profile>, String> {
        let Some(winds) = &self.project.winds else { return Ok(None) };
        let law = by_law.map_or_else(|| self.law(&mut Vec::new()), |(law, _)| *law);
        let elevation = self.project.site.air.elevation.given().map(Quantity::value);
        let ground = match (winds.height_is, elevation) {
            (HeightIs::AboveSeaLevel, None) => {
                return Err("the winds count from sea level, and [site] elevation is not stated".to_owned());
            }
            (height_is, elevation) => height_is.of_ground(elevation.unwrap_or_default()),
        };
        let file = self.project.winds_file.given().map_or("a file", String::as_str);
        says.push(format!(
            "Winds by height from {file}; below its lowest height they follow the law of the ground."
        ));
        let profile =
            Profile::of_readings(&winds.levels, ground, Foot::Law(law)).map_err(|error| error.to_string())?;
        Ok(Some(profile))
    }

    /// What brakes one after the other, or what a stage does not say.
    pub fn stages(&self, notes: &mut Notes, says: &mut Vec<String>) -> Result<Vec<PlannedStage>, String> {
        let name = &self.part.name.value;
        if self.part.stages.is_empty() {
            says.push("The canopies open at the start of the fall: no stage is stated.".to_owned());
            return Ok(vec![PlannedStage {
                name: "canopies".to_owned(),
                brakes: Brakes::Canopies,
                begins: PlannedBegin::Start,
                fill: self.filling(
                    None,
                    self.diameter_m(None),
                    &format!("part.{name}.stage.canopies"),
                    notes,
                ),
                growth: FILL_GROWTH,
                keeps_last: false,
                reefing: None,
            }]);
        }
        for stage in &self.part.stages {
            let reefing = &stage.reefing;
            let held = match reefing.held.given() {
                Some(said::Held::Share(share)) => format!("at {} of its drag area", share.text()),
                Some(said::Held::Line(line)) => format!("by a line of {}", line.text()),
                None => continue,
            };
            if let Some(held_for) = reefing.held_for.given() {
                says.push(format!("{} is held small for {}, {held}.", stage.name.value, held_for.text()));
            }
        }
        self.part.stages.iter().map(|stage| self.stage(stage, notes)).collect()
    }

    fn stage(&self, stage: &said::Stage, notes: &mut Notes) -> Result<PlannedStage, String> {
        let name = &stage.name.value;
        let prefix = format!("part.{}.stage.{name}", self.part.name.value);
        let id = |key: &str| LedgerId(format!("{prefix}.{key}"));
        let missing = |what: &str| format!("the stage {name} does not say {what}");
        let area = match stage.brakes.given() {
            Some(said::Brakes::Canopies) => None,
            Some(said::Brakes::Area(area)) => Some(area),
            None => return Err(missing("what brakes in it: drag_area, or opens = \"canopies\"")),
        };
        let begins = match stage.begins.given() {
            Some(said::Begins::Start) => PlannedBegin::Start,
            Some(said::Begins::After(time)) => {
                let meaning = format!("time at which {name} begins");
                PlannedBegin::After { s: drawn(id("after"), &meaning, time, Sharing::Flight, notes) }
            }
            Some(said::Begins::Below(height)) => {
                let meaning = format!("height at which {name} begins");
                PlannedBegin::Below { height_m: drawn(id("below"), &meaning, height, Sharing::Flight, notes) }
            }
            None => return Err(missing("when it begins: begins, after or below")),
        };
        let brakes = match area {
            None => Brakes::Canopies,
            Some(area) => {
                let meaning = format!("drag area of {name}");
                let drawn = drawn(id("drag_area"), &meaning, area, Sharing::Knowledge, notes);
                let (value, slope) = (silkfall_core::maths::ln(drawn.value), 1.0 / drawn.value);
                Brakes::Own { ln_area: drawn.mapped(value, slope) }
            }
        };
        let reefing = reefing::held(stage, self.part, &Canopy::of(&brakes, self.rig, self.offer), notes);
        Ok(PlannedStage {
            name: name.clone(),
            brakes,
            begins,
            fill: self.filling(stage.fill.given(), self.diameter_m(area.map(Quantity::si)), &prefix, notes),
            growth: stage.growth.given().map_or(FILL_GROWTH, Quantity::si),
            keeps_last: stage.stays.given() == Some(&true),
            reefing,
        })
    }

    /// The diameter that a stage fills over, m.
    fn diameter_m(&self, area_m2: Option<f64>) -> f64 {
        let of_area = |area: f64| sqrt(4.0 * area / (std::f64::consts::PI * COEFFICIENT_OF_AN_AREA));
        match area_m2 {
            Some(area) => of_area(area),
            None => self.rig.canopy.nominal_diameter_m.unwrap_or_else(|| of_area(self.rig.canopy.area.value)),
        }
    }

    fn filling(
        &self,
        said: Option<&said::Fill>,
        diameter_m: f64,
        prefix: &str,
        notes: &mut Notes,
    ) -> PlannedFill {
        let flown = Sharing::Flight;
        match said {
            Some(said::Fill::Time(time)) => {
                let id = LedgerId(format!("{prefix}.fill_time"));
                PlannedFill::Time { s: drawn(id, "time to fill", time, flown, notes) }
            }
            Some(said::Fill::Diameters(count)) => {
                let id = LedgerId(format!("{prefix}.fill_diameters"));
                let count = drawn(id, "diameters to fill over", count, flown, notes);
                PlannedFill::Diameters { count, diameter_m }
            }
            None => {
                let id = format!("{prefix}.fill_diameters");
                let (value, sd) = FILL_DIAMETERS;
                let trust = Trust::Memory(
                    "Knacke, Parachute Recovery Systems Design Manual (1992), table 5-6".to_owned(),
                );
                let count = self::flown(&id, "diameters to fill over", value, sd, trust, notes);
                PlannedFill::Diameters { count, diameter_m }
            }
        }
    }
}

/// What a person wrote, as an entry of the ledger.
fn drawn<Q: Measured>(
    id: LedgerId,
    meaning: &str,
    quantity: &Quantity<Q>,
    sharing: Sharing,
    notes: &mut Notes,
) -> Estimate {
    notes.enter(&id, Entry { sharing, ..entry(meaning.to_owned(), quantity) });
    exact_or(quantity.si(), id, quantity.standard_uncertainty_si())
}

/// A value that differs from flight to flight, normally about its best value.
fn flown(id: &str, meaning: &str, value: f64, sd: f64, trust: Trust, notes: &mut Notes) -> Estimate {
    let id = LedgerId(id.to_owned());
    let distribution = Distribution::Normal { sd };
    let sharing = Sharing::Flight;
    notes.enter(&id, Entry { meaning: meaning.to_owned(), value, distribution, sharing, trust });
    exact_or(value, id, sd)
}

/// ln of the factor on all speeds of the wind.
fn speed_factor(sd_log: f64, trust: Trust, notes: &mut Notes) -> Estimate {
    let id = LedgerId("wind.speed".to_owned());
    let distribution = Distribution::LogNormal { sd_log };
    let meaning = "speed of the wind, as a factor".to_owned();
    notes.enter(&id, Entry { meaning, value: 1.0, distribution, sharing: Sharing::Flight, trust });
    exact_or(0.0, id, sd_log)
}
