//! Landings as numbers of the sheet, each saying how it came about.

use silkfall_core::cases::{Quantiles, Share};
use silkfall_core::derivation::{How, sym};
use silkfall_core::drag::Interval;
use silkfall_core::geo::{Point, Polygon, Region};
use silkfall_core::landing::{
    Allowed, BetterPad, CaseLanding, FOR_WINDS, Falls, Landing, Mix, Opening, Plan, REGION_SHARES,
    SPEEDS_M_PER_S, Scaled, Summary,
};
use silkfall_core::ledger::{Distribution, Ledger, LedgerId, Trust};
use silkfall_core::maths;
use silkfall_core::quantity::Kind;
use silkfall_core::stats::distribution::normal_quantile;

use silkfall_project::landing::Whose;

use super::super::notes::{Notes, closed, input};
use super::from_project::Planned;
use super::{Given, Landed};
use crate::landing::{
    AskedWind, BetterPadSheet, CaseLandingSheet, ContributionSheet, GoNoGoSheet, InsideSheet, KeepOutSheet,
    LandingSheet, MapSheet, MixSheet, OpeningPoint, OpeningSheet, RangeSheet, RegionSheet, RingsSheet,
    SensitivitySheet, TrackPoint,
};
use crate::number::Number;
use crate::sheet::Effort;

/// Landings kept for the map, over all cases.
const SAMPLES: usize = 600;

/// What is shown, and of what.
pub(super) struct Shown<'a> {
    pub given: &'a Given<'a>,
    pub plan: &'a Plan<'a>,
    pub planned: &'a Planned,
    pub ledger: &'a Ledger,
    pub landing: &'a Landing,
}

impl Shown<'_> {
    pub fn landed(&self, notes: &mut Notes) -> Landed {
        let part = &self.given.part.name.value;
        let path = format!("landing.{part}");
        let ground = self.plan.wind.ground();
        let wind = self.stated_or(
            &format!("{path}.ground_wind"),
            ground.speed_m_per_s,
            Kind::Speed,
            ("wind.speed", "wind at the ground, from the winds by height"),
            notes,
        );
        let from = self.stated_or(
            &format!("{path}.wind_from"),
            ground.from_rad,
            Kind::Angle,
            ("wind.from", "where it blows from"),
            notes,
        );
        let (wind, from) = (self.with_spread(wind, "wind.speed"), self.with_spread(from, "wind.from"));
        let top = self.stated_or(
            &format!("{path}.top"),
            self.plan.start.top_m.value,
            Kind::Length,
            ("flight.top", "height of the start above the field"),
            notes,
        );
        let whose = self.given.project.flight_key(self.given.part, |flight| &flight.top).1;
        let key = match whose {
            Whose::Part => format!("part.{part}.flight.top"),
            Whose::All => "flight.top".to_owned(),
        };
        let top = self.with_spread(top, &key);
        let asked_wind = self.asked_wind(&path, notes);
        let wanted = self.plan.field.map(|_| {
            let number = Number::exact(format!("{path}.wanted_inside"), self.plan.wanted_inside, Kind::Share);
            let stated = &self.given.project.site.share_inside;
            match stated.given() {
                Some(stated) => notes.given(number, "site.share_inside", stated.text()),
                None => {
                    let meaning = "share of landings wanted inside the field";
                    let trust = Trust::Assumed("99 % where the project does not say".to_owned());
                    let si = number.si;
                    let inputs = vec![input("s", meaning, si, Kind::Share, trust.clone(), None)];
                    notes.derived(number, closed("s", meaning, Kind::Share, sym("s"), inputs, trust))
                }
            }
        });
        let cases: Vec<CaseLandingSheet> =
            self.landing.cases.iter().enumerate().map(|(i, case)| self.case(i, case, &path, notes)).collect();
        let mix = self.landing.mix.as_ref().map(|mix| self.mix(mix, &format!("{path}.mix"), notes));
        let full = self.given.effort == Effort::Full;
        Landed {
            go_no_go: self.landing.allowed.iter().map(|allowed| self.allowed(allowed, notes)).collect(),
            sheet: LandingSheet {
                part: part.clone(),
                trials: self.landing.trials.count,
                trials_for_winds: if self.landing.allowed.is_empty() { 0 } else { FOR_WINDS.count },
                says: self.planned.says.clone(),
                wanted_inside: wanted,
                ground_wind: wind,
                wind_from: from,
                asked_wind,
                top,
                cases,
                mix,
                opening: self
                    .landing
                    .opening
                    .as_ref()
                    .map(|opening| self.opening(opening, &format!("{path}.opening"), notes)),
                map: full.then(|| self.map()),
            },
        }
    }

    /// A number that a person wrote, or that the winds by height give.
    fn stated_or(
        &self,
        id: &str,
        si: f64,
        kind: Kind,
        (key, meaning): (&str, &str),
        notes: &mut Notes,
    ) -> Number {
        let number = Number::exact(id.to_owned(), si, kind);
        let text = self.text(key);
        match text {
            Some(text) => notes.given(number, key, &text),
            None => {
                let how = How::Fit {
                    procedure: format!(
                        "{meaning}: read at the height of a ground wind, straight lines between levels."
                    ),
                    data: self.given.project.winds_file.given().cloned().unwrap_or_else(|| "calm".to_owned()),
                    count: self.plan.wind.profile.levels().len(),
                };
                notes.number(number, how)
            }
        }
    }

    fn asked_wind(&self, path: &str, notes: &mut Notes) -> AskedWind {
        match self.plan.wind.scaled {
            Scaled::All if self.plan.wind.ground().speed_m_per_s > 0.0 => AskedWind::InProportion,
            Scaled::All => AskedWind::Added,
            Scaled::Ground { fades_by_m } => {
                let number = Number::exact(format!("{path}.fades_by"), fades_by_m, Kind::Length);
                AskedWind::AtTheGround(match self.given.project.wind.fades_by.given() {
                    Some(stated) => notes.given(number, "wind.fades_by", stated.text()),
                    None => {
                        let meaning = "height above the field by which a change of the ground wind has faded";
                        let trust = Trust::Assumed("500 m where the project does not say".to_owned());
                        let inputs = vec![input("h", meaning, fades_by_m, Kind::Length, trust.clone(), None)];
                        notes.derived(number, closed("h", meaning, Kind::Length, sym("h"), inputs, trust))
                    }
                })
            }
        }
    }

    /// With the interval of 95 of 100 flights, as the ledger has it differ from flight to flight.
    fn with_spread(&self, number: Number, id: &str) -> Number {
        let si = number.si;
        let quantile = normal_quantile(0.975);
        let interval = match self.ledger.get(&LedgerId(id.to_owned())).map(|entry| entry.distribution) {
            Some(Distribution::LogNormal { sd_log }) => {
                let factor = maths::exp(quantile * sd_log);
                Interval { low: si / factor, high: si * factor }
            }
            Some(Distribution::Normal { sd }) => {
                Interval { low: si - quantile * sd, high: si + quantile * sd }
            }
            _ => return number,
        };
        Number { interval_95: Some(interval), ..number }
    }

    /// The text of a key, where the value is as it was written.
    fn text(&self, key: &str) -> Option<String> {
        let project = self.given.project;
        match key {
            "flight.top" => {
                let (top, _) = project.flight_key(self.given.part, |flight| &flight.top);
                top.given().map(|top| top.text().to_owned())
            }
            _ if project.winds.is_some() => None,
            "wind.speed" => project.wind.speed.given().map(|speed| speed.text().to_owned()),
            "wind.from" => project.wind.from.given().map(|from| from.text().to_owned()),
            _ => None,
        }
    }

    fn case(&self, i: usize, case: &CaseLanding, path: &str, notes: &mut Notes) -> CaseLandingSheet {
        let stated = &self.given.cases[i];
        let path = format!("{path}.cases.{}", stated.name);
        let written = self.given.part.cases.iter().find(|written| written.name.value == stated.name);
        let summary = case.summary.as_ref();
        let mut simulated = |name: &str, kind, of: &dyn Fn(&Summary) -> Quantiles, procedure: &str| {
            summary.map(|summary| {
                let Quantiles { low, median, high } = of(summary);
                let number = Number::between(format!("{path}.{name}"), median, Interval { low, high }, kind);
                notes.number(number, self.how(procedure))
            })
        };
        let time_aloft = simulated("time_aloft", Kind::Time, &|s| s.time_aloft_s, TIME);
        let rate = simulated("rate", Kind::Speed, &|s| s.rate_m_per_s, RATE);
        let over_ground = simulated("over_ground", Kind::Speed, &|s| s.over_ground_m_per_s, OVER);
        let energy = simulated("energy", Kind::Energy, &|s| s.energy_j, ENERGY);
        let energy_down = simulated("energy_down", Kind::Energy, &|s| s.energy_down_j, ENERGY);
        let energy_over_ground = simulated("energy_over_ground", Kind::Energy, &|s| s.energy_over_j, ENERGY);
        let drift = simulated("drift", Kind::Length, &|s| s.drift_m, DRIFT);
        let bearing = summary.map(|summary| {
            let number = Number::exact(format!("{path}.bearing"), summary.bearing_rad(), Kind::Angle);
            notes.number(number, self.how(BEARING))
        });
        let chance = case.weight.map(|weight| {
            let number = Number::exact(format!("{path}.chance"), weight, Kind::Share);
            notes.number(
                number,
                How::Fit {
                    procedure: MIX_WEIGHT.to_owned(),
                    data: "the chances of this part's cases".to_owned(),
                    count: self.given.cases.len(),
                },
            )
        });
        let source = written.and_then(|written| written.chance_source.given().cloned());
        let assumed = case.chance.as_ref().map(|chance| chance.trust.mark());
        CaseLandingSheet {
            case: stated.name.clone(),
            chance,
            chance_source: source.or(assumed),
            time_aloft,
            rate,
            over_ground,
            energy,
            energy_down,
            energy_over_ground,
            drift,
            bearing,
            inside: case.inside.as_ref().map(|share| self.inside(share, &format!("{path}.inside"), notes)),
            keep_outs: self.keep_outs(&path, case.keep_outs.iter().map(Some), notes),
            verdict: case.verdict,
            contributions: case
                .contributions
                .iter()
                .map(|contribution| {
                    let id = contribution.id.as_ref();
                    let entry = id.and_then(|id| self.ledger.get(id));
                    let name = id.map_or_else(|| "remainder".to_owned(), |id| id.0.clone());
                    let path = format!("{path}.contributions.{name}.share");
                    let number = Number::exact(path, contribution.share, Kind::Share);
                    ContributionSheet {
                        meaning: match entry {
                            Some(entry) => entry.meaning.clone(),
                            None if id.is_some() => name,
                            None => REMAINDER.to_owned(),
                        },
                        id: id.map(|id| id.0.clone()),
                        share: notes.number(number, self.how(CONTRIBUTIONS)),
                    }
                })
                .collect(),
            missing: summary.is_none().then(|| "what brakes then is not known".to_owned()),
            track: case
                .track
                .iter()
                .map(|point| TrackPoint {
                    time_s: point.time_s,
                    height_m: point.place_m[2],
                    east_m: point.place_m[0],
                    north_m: point.place_m[1],
                })
                .collect(),
        }
    }

    fn how(&self, procedure: &str) -> How {
        let trials = self.landing.trials;
        How::Simulation { procedure: procedure.to_owned(), trials: trials.count, seed: trials.seed }
    }

    fn inside(&self, share: &Share, path: &str, notes: &mut Notes) -> InsideSheet {
        let best = Number::between(path.to_owned(), share.best, share.interval, Kind::Share);
        let worst = Number::exact(format!("{path}_at_worst"), share.surely(), Kind::Share);
        InsideSheet {
            share: notes.number(best, self.how(INSIDE)),
            at_worst: notes.number(worst, self.how(AT_WORST)),
            standard_error: share.standard_error,
        }
    }

    fn keep_outs<'a>(
        &self,
        path: &str,
        shares: impl Iterator<Item = Option<&'a Share>>,
        notes: &mut Notes,
    ) -> Vec<KeepOutSheet> {
        let areas = self.plan.field.map_or(&[][..], |field| &field.keep_outs[..]);
        areas
            .iter()
            .zip(shares)
            .filter_map(|(area, share)| {
                let share = share?;
                let id = format!("{path}.keep_outs.{}.share", area.name);
                let number = Number::between(id, share.best, share.interval, Kind::Share);
                Some(KeepOutSheet {
                    name: area.name.clone(),
                    share: notes.number(number, self.how(KEEP_OUT)),
                })
            })
            .collect()
    }

    fn mix(&self, mix: &Mix, path: &str, notes: &mut Notes) -> MixSheet {
        let fixed = self.landing.inside_with_top_fixed.as_ref();
        MixSheet {
            inside: mix.inside.as_ref().map(|share| self.inside(share, &format!("{path}.inside"), notes)),
            inside_with_top_fixed: fixed
                .map(|share| self.inside(share, &format!("{path}.inside_with_top_fixed"), notes)),
            keep_outs: self.keep_outs(path, mix.keep_outs.iter().map(Option::as_ref), notes),
            verdict: mix.verdict,
            sensitivity: mix
                .sensitivity
                .iter()
                .map(|one| {
                    let case = self.given.cases[one.case].name.clone();
                    let mut share = |name: &str, si: f64| {
                        let number =
                            Number::exact(format!("{path}.sensitivity.{case}.{name}"), si, Kind::Share);
                        notes.number(number, self.how(SENSITIVITY))
                    };
                    let (never, thrice) = (share("never", one.never), share("thrice", one.thrice));
                    SensitivitySheet { case, never, thrice }
                })
                .collect(),
            better_pad: mix.better_pad.as_ref().map(|pad| self.better_pad(pad, path, notes)),
        }
    }

    fn better_pad(&self, pad: &BetterPad, path: &str, notes: &mut Notes) -> BetterPadSheet {
        let mut number = |name: &str, si, kind| {
            notes.number(Number::exact(format!("{path}.better_pad.{name}"), si, kind), self.how(BETTER_PAD))
        };
        BetterPadSheet {
            distance: number("distance", pad.distance_m(), Kind::Length),
            bearing: number("bearing", pad.bearing_rad(), Kind::Angle),
            share: number("share", pad.share, Kind::Share),
            share_now: number("share_now", pad.share_now, Kind::Share),
        }
    }

    fn allowed(&self, allowed: &Allowed, notes: &mut Notes) -> GoNoGoSheet {
        let part = &self.given.part.name.value;
        let case = allowed.case.map(|case| self.given.cases[case].name.clone());
        let degrees = allowed.from_rad.to_degrees();
        let id = format!("{part}.{}.{degrees:.1}", case.as_deref().unwrap_or("mix"));
        let path = format!("go_no_go.{id}");
        let how = |trials: usize| How::Simulation {
            procedure: ALLOWED.to_owned(),
            trials,
            seed: self.landing.trials.seed,
        };
        let trials = FOR_WINDS.count.min(self.landing.trials.count);
        let from = Number::exact(format!("{path}.from"), allowed.from_rad, Kind::Angle);
        let from = notes.number(from, how(trials));
        let mut ranges = |name: &str, ranges: &[[f64; 2]]| -> Vec<RangeSheet> {
            let strongest = SPEEDS_M_PER_S[SPEEDS_M_PER_S.len() - 1];
            ranges
                .iter()
                .enumerate()
                .map(|(i, [low, high])| {
                    let mut end = |end: &str, si: f64| {
                        let id = format!("{path}.{name}.{i}.{end}");
                        notes.number(Number::exact(id, si, Kind::Speed), how(trials))
                    };
                    RangeSheet {
                        low: end("low", *low),
                        high: end("high", *high),
                        reaches_beyond: *high >= strongest,
                    }
                })
                .collect()
        };
        GoNoGoSheet {
            part: part.clone(),
            case,
            from,
            ranges: ranges("ranges", &allowed.ranges_m_per_s),
            sure_ranges: ranges("sure_ranges", &allowed.sure_ranges_m_per_s),
            id,
            speeds_m_per_s: SPEEDS_M_PER_S.to_vec(),
            shares: allowed.shares.clone(),
        }
    }

    fn opening(&self, opening: &Opening, path: &str, notes: &mut Notes) -> OpeningSheet {
        let mut number = |name: &str, si, how| {
            notes.number(Number::exact(format!("{path}.{name}"), si, Kind::Length), how)
        };
        let planned_as = How::Given {
            key: format!(
                "part.{}.stage.{}.below",
                self.given.part.name.value, self.plan.stages[opening.stage].name
            ),
            text: self.stage_text(opening.stage),
        };
        let planned = number("planned", opening.planned_m, planned_as);
        let lost = number("lost", opening.lost_m, self.how(LOST));
        let reacting = number("reacting", opening.reacting_m, self.how(REACTING));
        let sum = closed(
            "h_low",
            "lowest safe height to open",
            Kind::Length,
            sym("h_lost") + sym("h_react"),
            vec![
                input(
                    "h_lost",
                    "lost in filling and settling",
                    lost.si,
                    Kind::Length,
                    Trust::Measured,
                    Some(&lost.id),
                ),
                input(
                    "h_react",
                    "lost in reacting",
                    reacting.si,
                    Kind::Length,
                    Trust::Measured,
                    Some(&reacting.id),
                ),
            ],
            Trust::Assumed("a failure is seen at the opening and acted on; a judgement of ours".to_owned()),
        );
        let lowest = number("lowest", opening.lowest_m, How::Closed(sum));
        OpeningSheet {
            stage: self.plan.stages[opening.stage].name.clone(),
            planned,
            lost,
            reacting,
            lowest,
            curve: opening
                .curve
                .iter()
                .map(|at| OpeningPoint {
                    height_m: at.height_m,
                    drift_m: at.drift_m,
                    inside: at.inside,
                    in_time: at.in_time,
                })
                .collect(),
        }
    }

    fn stage_text(&self, stage: usize) -> String {
        let said = self.given.part.stages.get(stage).and_then(|stage| stage.begins.given());
        match said {
            Some(silkfall_project::landing::Begins::Below(height)) => height.text().to_owned(),
            _ => String::new(),
        }
    }

    fn map(&self) -> MapSheet {
        let field = self.plan.field;
        let rings = |name: Option<&str>, polygon: &Polygon| RingsSheet {
            name: name.map(str::to_owned),
            rings: std::iter::once(polygon.outer()).chain(polygon.holes()).map(closed_ring).collect(),
        };
        let region = |region: &Region| RegionSheet {
            share: region.share,
            level_per_m2: region.level_per_m2,
            polygons: region.polygons.iter().map(|polygon| rings(None, polygon)).collect(),
        };
        let cases = &self.landing.cases;
        let regions = match &self.landing.mix {
            Some(mix) => &mix.regions[..],
            None => cases.first().map_or(&[][..], |case| &case.regions),
        };
        let worst = cases
            .iter()
            .enumerate()
            .filter_map(|(i, case)| Some((i, case, case.inside.as_ref()?.best)))
            .min_by(|a, b| a.2.total_cmp(&b.2));
        let widest = |regions: &[Region]| -> Vec<RingsSheet> {
            let all = regions.iter().filter(|region| (region.share - REGION_SHARES[2]).abs() < 1e-9);
            all.flat_map(|region| region.polygons.iter().map(|polygon| rings(None, polygon))).collect()
        };
        MapSheet {
            pad: super::plane(self.given.project)
                .map(|plane| [plane.pad().latitude_deg(), plane.pad().longitude_deg()]),
            edges: field
                .map_or_else(Vec::new, |field| field.edges.iter().map(|edge| rings(None, edge)).collect()),
            keep_outs: field.map_or_else(Vec::new, |field| {
                field.keep_outs.iter().map(|area| rings(Some(&area.name), &area.polygon)).collect()
            }),
            regions: regions.iter().map(region).collect(),
            worst: worst.map(|(i, case, _)| (self.given.cases[i].name.clone(), widest(&case.regions))),
            samples: self.samples(),
        }
    }

    /// The first landings of each case, as many as its share of the mix says.
    fn samples(&self) -> Vec<(usize, Point)> {
        let cases = self.landing.cases.iter().enumerate();
        cases
            .filter_map(|(i, case)| Some((i, case.weight, case.falls.as_ref()?)))
            .flat_map(|(i, weight, falls): (usize, Option<f64>, &Falls)| {
                let share = weight.unwrap_or(1.0 / self.landing.cases.len() as f64);
                let count = (share * SAMPLES as f64).ceil() as usize;
                falls.landed().take(count).map(move |fall| (i, fall.place_m)).collect::<Vec<_>>()
            })
            .collect()
    }
}

/// A ring whose last place is its first.
fn closed_ring(corners: &[Point]) -> Vec<Point> {
    corners.iter().chain(corners.first()).copied().collect()
}

const TIME: &str = "Time from the start to the ground in simulated falls: a point mass in stages through the day's air and wind, \
                    every doubt drawn from the ledger (JCGM 101:2008). The median, and where 95 of 100 flights lie.";
const RATE: &str =
    "Speed down at the ground in simulated falls. The median, and where 95 of 100 flights lie.";
const OVER: &str =
    "Speed over ground at the ground in simulated falls. The median, and where 95 of 100 flights lie.";
const ENERGY: &str = "E = m v²/2 at the ground in simulated falls, of the speed down, of the speed over ground, and of both. The \
                      median, and where 95 of 100 flights lie.";
const DRIFT: &str = "Distance from the pad in simulated falls. The median, and where 95 of 100 flights lie.";
const BEARING: &str = "Direction from the pad to the mean place of simulated falls.";
const MIX_WEIGHT: &str = "The chance of the case as stated or assumed; what the stated chances leave over is the case in which all \
                          opens, or all are divided by their sum.";
const INSIDE: &str = "The share of simulated landings inside the field and off every place to keep out of, over all flights of all \
                      worlds; its interval is where the share of the one true world lies, 95 % sure (JCGM 101:2008).";
const AT_WORST: &str = "The share of landings inside in the world at the 5 % end, with what is from memory at its worse end, and never above \
     the best estimate: 95 % sure that it is no less (JCGM 101:2008).";
const KEEP_OUT: &str = "The share of simulated landings over the place to keep out of.";
const CONTRIBUTIONS: &str = "Share of the variance of the place that this input explains to first order, east and north together, from \
                             the same trials (squared correlation; Saltelli et al., Global Sensitivity Analysis (2008), from memory).";
const REMAINDER: &str = "what no single input explains: wind by height, heading, curvature";
const SENSITIVITY: &str = "The share inside with the chance of this failure at nothing, or at three times what was taken, the case in \
                           which all opens making up the difference.";
const BETTER_PAD: &str =
    "The share inside with every landing moved alike, looked for over a grid across the field.";
const ALLOWED: &str = "Falls in ground winds of 0 to 15 m/s, turned to sixteen directions, from one set of trials; the ends of a range lie \
                       on straight lines between the speeds flown.";
const LOST: &str = "Height from the opening until filled and within 5 % of the rate; 95 of 100 simulated flights lose no more.";
const REACTING: &str =
    "The time to react times the speed before the opening; 95 of 100 simulated flights lose no more.";
