//! The load path as numbers of the sheet, each with how it came about, and what of it is a finding.

use silkfall_core::cases::Verdict;
use silkfall_core::derivation::{Derivation, How, Input, num, sym};
use silkfall_core::drag::Interval;
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::ledger::Trust;
use silkfall_core::load_path::{
    FACTOR_SOURCE, Factor, Factors, HOOP, MemberKind, Strength, convergence_inputs, derive_cloth_strength,
    derive_design_factor, derive_line_convergence, derive_margin, derive_strength_that_would_do,
    derive_strip_strength, worst_of,
};
use silkfall_core::loads::{DRAWS, Event, NoLoad};
use silkfall_core::quantity::{Kind, Spread};
use silkfall_project::load_path::Member;
use silkfall_project::value::{Known, Measured, Quantity};

use super::pulls::Borne;
use super::strength::Rated;
use super::{Judged, Link, Path, Under, weakest_of, word};
use crate::load_path::{
    BorneSheet, DesignFactorSheet, MarginSheet, MemberSheet, RowSheet, ShockSheet, StrengthSheet,
};
use crate::number::Number;
use crate::work::bay::least_trusted;
use crate::work::notes::{Notes, PROJECT_FILE, closed, input, linked};

/// The load path on the sheet.
pub(in crate::work) struct Told {
    pub members: Vec<MemberSheet>,
    pub shock: Option<ShockSheet>,
    pub strength: StrengthSheet,
}

impl Path<'_> {
    /// All of it under the canopies chosen.
    pub fn told(&self, under: Under<'_>, seed: u64, notes: &mut Notes) -> Told {
        let shock = self.shock(under, seed, notes);
        let shaken: Vec<Verdict> = shock.iter().flat_map(|of| &of.contents).map(|of| of.verdict).collect();
        if !self.is_asked(under.rows) {
            let why = if self.is_stated() {
                "what the canopies pull with is not known"
            } else {
                "no strength is stated of any member"
            };
            let mut strength = StrengthSheet::not_judged(why);
            self.count_in(&mut strength, &shaken, shock.as_ref());
            return Told { members: Vec::new(), shock, strength };
        }
        let judged = self.all(under);
        let weakest = weakest_of(&judged);
        let (verdict, reason) = word(&judged);
        let says = self.says(&judged, under);
        // Where pulls are not known they are so for one reason, which is said once.
        let mut without_load = false;
        for finding in judged.iter().filter_map(|of| self.finding(of)) {
            let of_load = finding.code == Code::PathLoadNotKnown;
            if !(of_load && without_load) {
                notes.find(finding);
            }
            without_load |= of_load;
        }
        let members: Vec<MemberSheet> = judged
            .into_iter()
            .enumerate()
            .map(|(at, of)| self.member(of, Some(at) == weakest, (under, seed), notes))
            .collect();
        let weakest = weakest.map(|at| members[at].id.clone());
        let mut strength = StrengthSheet { verdict, reason, weakest, says };
        self.count_in(&mut strength, &shaken, shock.as_ref());
        Told { members, shock, strength }
    }

    /// What is shaken too hard counts as what is too weak does.
    fn count_in(&self, strength: &mut StrengthSheet, shaken: &[Verdict], shock: Option<&ShockSheet>) {
        let mut worst = worst_of(shaken.iter().copied());
        if shock.is_none() && self.part.contents.iter().any(|content| !content.limit.is_absent()) {
            worst = Verdict::Undecided;
        }
        if worst == Verdict::NotJudged
            || (strength.verdict != Verdict::NotJudged && strength.verdict >= worst)
        {
            return;
        }
        strength.verdict = worst;
        let first = shock.and_then(|of| of.contents.iter().find(|content| content.verdict == worst));
        if let Some(content) = first {
            strength.reason = super::shaken::reason(content, shock.map(|shock| shock.at_95.si));
        } else {
            strength.reason = "how hard the part is shaken is not known".to_owned();
        }
    }

    fn path(&self, id: &str) -> String {
        format!("parts.{}.load_path.{id}", self.part.name.value)
    }

    fn member(
        &self,
        judged: Judged<'_>,
        weakest: bool,
        (under, seed): (Under<'_>, u64),
        notes: &mut Notes,
    ) -> MemberSheet {
        let Judged { link, borne, rated, factors, sharing, margin, verdict, reason } = judged;
        let path = self.path(&link.name);
        let key = match link.said {
            Some(_) => format!("part.{}.member.{}", self.part.name.value, link.name),
            None => format!("offer.{}", under.rig.offer),
        };
        let pull = borne.as_ref().map_err(Clone::clone).map(|of| self.borne(of, &path, &key, seed, notes));
        let strength = rated.as_ref().ok().map(|rated| strength(rated, &path, &key, notes));
        let known = factors.as_ref().ok();
        let shown = known.map(|factors| self.factor_numbers(&link, under, factors, &path, notes));
        let shown = shown.unwrap_or_default();
        let design_factor = known.map(|factors| {
            [false, true].map(|at_worst| {
                let name = if at_worst { "design_factor_at_worst" } else { "design_factor" };
                let how = derive_design_factor(factors, at_worst);
                let of = |shown: &DesignFactorSheet| {
                    let number = shown.worst.as_ref().filter(|_| at_worst).unwrap_or(&shown.best);
                    (shown.factor.symbol(), number.id.clone())
                };
                let links: Vec<_> = shown.iter().map(of).collect();
                let links: Vec<_> = links.iter().map(|(symbol, id)| (*symbol, id)).collect();
                let how = linked(how, &links);
                notes.derived(Number::exact(format!("{path}.{name}"), how.si, Kind::Ratio), how)
            })
        });
        let held = strength.as_ref().zip(design_factor.as_ref()).zip(sharing);
        let allowed = held.map(|((strength, [_, worst]), sharing)| {
            let how = closed(
                "F_a",
                "pull that it may be given for sure",
                Kind::Force,
                sym("P") * sym("Z") / sym("D_F"),
                vec![
                    of_number("P", "what one holds for sure", strength.sure()),
                    input("Z", "how many share the pull", sharing as f64, Kind::Ratio, Trust::Given, None),
                    of_number("D_F", "design factor at worst", worst),
                ],
                Trust::Memory(FACTOR_SOURCE.to_owned()),
            );
            notes.derived(Number::exact(format!("{path}.allowed"), how.si, Kind::Force), how)
        });
        let margins = match (held, pull.as_ref(), margin) {
            (Some(((strength, factor), sharing)), Ok(pull), Some(margin)) => {
                let mut one = |name: &str, p: &Number, d: &Number, f: &Number, interval: Option<Interval>| {
                    let how = derive_margin(p.si, sharing, d.si, f.si);
                    let how = linked(how, &[("P", &p.id), ("D_F", &d.id), ("F", &f.id)]);
                    let number = Number {
                        interval_95: interval,
                        ..Number::exact(format!("{path}.margin.{name}"), how.si, Kind::Ratio)
                    };
                    notes.derived(number, how)
                };
                let (best, [at_best, at_worst]) = (strength.best(), factor);
                let spread = Interval { low: margin.low, high: margin.high };
                Some(MarginSheet {
                    margin: one("margin", best, at_best, &pull.force, Some(spread)),
                    at_95: one("at_95", best, at_best, &pull.at_95, None),
                    at_worst: one("at_worst", strength.sure(), at_worst, &pull.at_95, None),
                })
            }
            _ => None,
        };
        let would_do = match (&rated, &borne, known, sharing, &pull, &design_factor) {
            // Of cloth nobody says over which width it carries where its strength is not stated.
            (Err(_), ..) if link.kind == MemberKind::Fabric => None,
            (rated, Ok(borne), Some(factors), Some(sharing), Ok(pull), Some([_, worst])) => {
                let how = would_do(rated.as_ref().ok(), factors, sharing, borne);
                let how = linked(how, &[("D_F", &worst.id), ("F", &pull.at_95.id)]);
                let (si, kind) = (how.si, how.kind);
                Some(notes.derived(Number::exact(format!("{path}.would_do"), si, kind), how))
            }
            _ => None,
        };
        let trusts = known
            .into_iter()
            .flat_map(|factors| Factor::ALL.into_iter().map(|factor| &factors.get(factor).trust));
        let mouth = match &rated {
            Ok(Rated::Round(_, mouth)) => Some(&mouth.trust),
            _ => None,
        };
        let trust = least_trusted(trusts.filter(|trust| !matches!(trust, Trust::Assumed(_))).chain(mouth));
        let (rated, holds, surely_holds) = match strength {
            Some(Strengths { rated, holds, sure }) => (Some(rated), holds, sure),
            None => (None, None, None),
        };
        MemberSheet {
            id: link.name,
            kind: link.kind,
            carries: link.carries,
            pull,
            rated,
            holds,
            surely_holds,
            sharing,
            factors: shown,
            design_factor,
            allowed,
            margin: margins,
            would_do,
            verdict,
            reason,
            weakest,
            trust,
        }
    }

    /// A pull that has to be borne, as two numbers; what they rest on from memory is that of their row of loads.
    pub(super) fn borne(
        &self,
        borne: &Borne,
        path: &str,
        key: &str,
        seed: u64,
        notes: &mut Notes,
    ) -> BorneSheet {
        let path = format!("{path}.pull");
        let pull = &borne.pull;
        let half = pull.half_width_of_p95();
        let force = Number::between(
            format!("{path}.force"),
            pull.median,
            Interval { low: pull.low, high: pull.high },
            Kind::Force,
        );
        let at_95 = Number {
            interval_95: (half > 0.0).then_some(Interval { low: pull.p95 - half, high: pull.p95 + half }),
            ..Number::exact(format!("{path}.at_95"), pull.p95, Kind::Force)
        };
        let how = match &borne.row {
            None => How::Given { key: format!("{key}.pull"), text: "as measured".to_owned() },
            Some(row) => {
                let id = format!("{}, {}, {}", row.case, row.canopy, row.event.word());
                let loads = format!("parts.{}.loads.{id}", self.part.name.value);
                let behind = if row.asked { "worst.at_95" } else { "at_95" };
                if let Some(sources) = notes.remembered.get(&format!("{loads}.{behind}")).cloned() {
                    notes.remember(&path, sources);
                }
                let procedure = format!(
                    "The hardest of all rows of the loads: {id}, {}. What is worked out there, of the draws behind it.",
                    borne.when
                );
                How::Simulation { procedure, trials: DRAWS, seed }
            }
        };
        BorneSheet {
            force: notes.number(force, how.clone()),
            at_95: notes.number(at_95, how),
            when: borne.when.clone(),
            of: borne.row.as_ref().map(|row| RowSheet {
                case: row.case.clone(),
                canopy: row.canopy.clone(),
                event: row.event,
            }),
        }
    }

    fn factor_numbers(
        &self,
        link: &Link<'_>,
        under: Under<'_>,
        factors: &Factors,
        path: &str,
        notes: &mut Notes,
    ) -> Vec<DesignFactorSheet> {
        let is_one = |si: f64| (si - 1.0).abs() < 1e-12;
        let told = |factor: &Factor| {
            let bounded = factors.get(*factor);
            !is_one(bounded.best) || !is_one(bounded.worst) || bounded.trust == Trust::Given
        };
        let shown: Vec<Factor> = Factor::ALL.into_iter().filter(told).collect();
        shown
            .into_iter()
            .map(|factor| {
                let bounded = factors.get(factor);
                let as_is = |si: f64| {
                    let inputs =
                        vec![input("x", factor.meaning(), si, Kind::Ratio, bounded.trust.clone(), None)];
                    let symbol = factor.symbol();
                    closed(symbol, factor.meaning(), Kind::Ratio, sym("x"), inputs, Trust::Practice)
                };
                let path = format!("{path}.factors.{}", factor.word());
                let number = |name: &str, si: f64| Number::exact(format!("{path}.{name}"), si, Kind::Ratio);
                let by_angle = |at_worst: bool| {
                    let (mouth, lines) = convergence_inputs(
                        self.shape(link, under),
                        self.lines_over_nominal(link, under),
                        at_worst,
                    );
                    derive_line_convergence(mouth, lines)
                };
                let how = |at_worst: bool| {
                    let si = if at_worst { bounded.worst } else { bounded.best };
                    let angle = (factor == Factor::Convergence).then(|| by_angle(at_worst)).flatten();
                    How::Closed(angle.unwrap_or_else(|| as_is(si)))
                };
                let best = match self.stated_factor(link, factor) {
                    Some((key, Known::Given(said))) => How::Given { key, text: said.value.text().to_owned() },
                    _ => how(false),
                };
                let best = notes.number(number("best", bounded.best), best);
                let differs = (bounded.worst - bounded.best).abs() > 1e-12;
                let worst = differs.then(|| notes.number(number("worst", bounded.worst), how(true)));
                DesignFactorSheet { factor, best, worst, trust: bounded.trust.clone() }
            })
            .collect()
    }

    fn says(&self, judged: &[Judged<'_>], under: Under<'_>) -> Vec<String> {
        let mut says = Vec::new();
        if self.part.members.is_empty() {
            says.push(
                "Only the canopies' ratings are judged: no other member of the load path is stated ([[part.member]])."
                    .to_owned(),
            );
        }
        if judged.iter().any(|of| of.link.said.is_none()) {
            says.push(
                "A canopy's rating is taken as what it may be pulled with: no design factor is put on it."
                    .to_owned(),
            );
        }
        let from_memory = |of: &Judged<'_>| of.factors.as_ref().is_ok_and(Factors::rests_on_memory);
        if judged.iter().any(from_memory) {
            says.push(format!("Design factors that are not stated are from memory of {}.", FACTOR_SOURCE));
        }
        let no_snatch = under
            .rows
            .iter()
            .any(|row| row.event == Event::Snatch && matches!(&row.load, Err(NoLoad::NotKnown(_))));
        if no_snatch {
            says.push("Where a snatch is not known, the opening alone is counted.".to_owned());
        }
        says
    }

    fn finding(&self, judged: &Judged<'_>) -> Option<Finding> {
        let link = &judged.link;
        let code = match (&judged.rated, &judged.factors, judged.sharing, &judged.borne, judged.verdict) {
            (_, _, _, _, Verdict::NotJudged) => return None,
            (Err(_), ..) => Code::PathStrengthNotKnown,
            (_, Err(_), ..) if link.kind.shares() => Code::PathLinesShort,
            (_, _, None, ..) => Code::PathStrengthNotKnown,
            (_, _, _, Err(_), _) => Code::PathLoadNotKnown,
            (.., Verdict::Misses) => Code::PathTooWeak,
            (_, _, _, Ok(borne), Verdict::Undecided) if borne.unknown.is_some() => Code::PathLoadNotKnown,
            _ => return None,
        };
        // What is "?" the project's unknowns say.
        let asked =
            |said: &Member| said.strength.is_unknown() || said.number.is_unknown() || said.pull.is_unknown();
        if link.said.is_some_and(asked) {
            return None;
        }
        let message = judged.reason.clone();
        Some(match link.said {
            Some(said) => {
                let key = format!("part.{}.member.{}", self.part.name.value, link.name);
                let spot = said.name.spot;
                Finding::new(code, Subject::Key(key), message).at(
                    PROJECT_FILE,
                    Some(spot.line),
                    Some(spot.column),
                )
            }
            None => {
                let offer = link.name.trim_start_matches("canopy ");
                let finding = Finding::new(code, Subject::Key(format!("offer.{offer}")), message);
                let line = self.project.offer(offer).map(|offer| offer.id.spot);
                match self.project.offers_file.given() {
                    Some(file) => {
                        finding.at(file.clone(), line.map(|spot| spot.line), line.map(|spot| spot.column))
                    }
                    None => finding,
                }
            }
        })
    }
}

/// The strength of one, as numbers.
struct Strengths {
    rated: Number,
    holds: Option<Number>,
    sure: Option<Number>,
}

impl Strengths {
    /// As a force, the best value.
    fn best(&self) -> &Number {
        self.holds.as_ref().unwrap_or(&self.rated)
    }

    /// As a force, for sure.
    fn sure(&self) -> &Number {
        self.sure.as_ref().unwrap_or(self.best())
    }
}

fn strength(rated: &Rated<'_>, path: &str, key: &str, notes: &mut Notes) -> Strengths {
    fn given<Q: Measured>(said: &Quantity<Q>, path: &str, key: &str, notes: &mut Notes) -> Number {
        let half = match said.spread() {
            Spread::NotSaid => 0.0,
            Spread::Standard(sd) => 1.96 * sd,
            Spread::Within(half) => 0.95 * half,
        };
        let number = Number::exact(format!("{path}.rated"), said.si(), Q::KIND);
        let interval = Interval { low: said.si() - half, high: said.si() + half };
        let number = Number { interval_95: (half > 0.0).then_some(interval), ..number };
        notes.given(number, key, said.text())
    }
    let of_member = format!("{key}.strength");
    let holds = |how: Derivation, name: &str, notes: &mut Notes| {
        notes.derived(Number::exact(format!("{path}.{name}"), how.si, Kind::Force), how)
    };
    let at = rated.as_force();
    let differs = (at.best_n - at.worst_n).abs() > 1e-9 * at.best_n;
    match rated {
        Rated::Force(said) => {
            let key = if key.starts_with("offer.") { format!("{key}.rated_load") } else { of_member };
            let rated = given(said, path, &key, notes);
            let sure = differs.then(|| {
                let how = closed(
                    "P_w",
                    "what one holds for sure",
                    Kind::Force,
                    sym("P") - sym("d"),
                    vec![
                        of_number("P", "strength of one as rated", &rated),
                        input(
                            "d",
                            "by how much it may be less, 95 % sure",
                            at.best_n - at.worst_n,
                            Kind::Force,
                            Trust::Given,
                            None,
                        ),
                    ],
                    Trust::Practice,
                );
                holds(how, "surely_holds", notes)
            });
            Strengths { rated, holds: None, sure }
        }
        Rated::Strip(cloth, width) => {
            let rated = given(cloth, path, &of_member, notes);
            let how = linked(derive_strip_strength(cloth.si(), width.si()), &[("s", &rated.id)]);
            let best = holds(how, "holds", notes);
            let low = |at: Strength| at.worst_n;
            let sure = differs.then(|| {
                let how = derive_strip_strength(
                    low(Strength::rated(cloth.si(), cloth.spread())),
                    low(Strength::rated(width.si(), width.spread())),
                );
                holds(how, "surely_holds", notes)
            });
            Strengths { rated, holds: Some(best), sure }
        }
        Rated::Round(cloth, mouth) => {
            let rated = given(cloth, path, &of_member, notes);
            let middle = (mouth.m.middle(), mouth.trust.clone());
            let how = derive_cloth_strength(cloth.si(), middle, HOOP.middle());
            let best = holds(linked(how, &[("s", &rated.id)]), "holds", notes);
            let sure = differs.then(|| {
                let at_worst = Strength::rated(cloth.si(), cloth.spread()).worst_n;
                let how = derive_cloth_strength(at_worst, (mouth.m.low, mouth.trust.clone()), HOOP.high);
                holds(how, "surely_holds", notes)
            });
            Strengths { rated, holds: Some(best), sure }
        }
    }
}

/// The rating of one that would do for sure: of cloth for its width.
fn would_do(rated: Option<&Rated<'_>>, factors: &Factors, sharing: usize, borne: &Borne) -> Derivation {
    let how = derive_strength_that_would_do(sharing, factors, &borne.pull);
    let (over, meaning, trust, expr) = match rated {
        None | Some(Rated::Force(_)) => return how,
        Some(Rated::Strip(_, width)) => {
            let width_m = Strength::rated(width.si(), width.spread()).worst_n;
            (width_m, "width that carries", Trust::Given, sym("D_F") * sym("F") / (sym("Z") * sym("b")))
        }
        Some(Rated::Round(_, mouth)) => (
            mouth.m.low,
            "mouth of the canopy in flight, at least",
            mouth.trust.clone(),
            sym("D_F") * sym("F") * num(HOOP.high) / (sym("Z") * num(std::f64::consts::PI) * sym("b")),
        ),
    };
    let mut inputs = how.inputs;
    inputs.push(input("b", meaning, over, Kind::Length, trust, None));
    closed("s", "rated strength that would do, for a width", Kind::ForcePerLength, expr, inputs, how.source)
}

/// An input that is a number of the sheet.
pub(super) fn of_number(symbol: &'static str, meaning: &str, number: &Number) -> Input {
    input(symbol, meaning, number.si, number.kind, Trust::Given, Some(&number.id))
}
