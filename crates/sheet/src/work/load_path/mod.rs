//! A part's load path: every member against the hardest pull on it, under any canopies, and what of it is said on the sheet.
//!
//! The sums are core's ([`silkfall_core::load_path`]). Here it is settled which members a candidate has, what is stated of
//! them and what pulls at each ([`pulls`]). What is not known never meets.

mod factors;
mod pulls;
mod shaken;
mod strength;
mod told;

use silkfall_core::candidates::{Beside, By};
use silkfall_core::cases::{Case, CaseKind, Rig, Verdict};
use silkfall_core::full_size::Offer;
use silkfall_core::load_path::{
    Carries, Factors, Margin, MemberKind, margin, strength_that_would_do, verdict, weakest, worst_of,
};
use silkfall_core::loads::{Entry as Row, Event};
use silkfall_core::quantity::{System, show};
use silkfall_project::Project;
use silkfall_project::load_path::Member;
use silkfall_project::project::Part;

use pulls::Borne;
use strength::Rated;
pub(super) use told::Told;

/// The cases that decide what has to be borne: fewer canopies pull no harder together than all do, and one no harder than the
/// leading one that catches the whole mass.
pub(super) fn hardest_cases(cases: &[Case]) -> Vec<Case> {
    use CaseKind::{AllOpen, EarlyOpening, MainAtTop, NoDrogue};
    let whole = |case: &&Case| matches!(case.kind, AllOpen | EarlyOpening | MainAtTop | NoDrogue);
    if cases.iter().any(|case| case.kind == AllOpen) {
        cases.iter().filter(whole).cloned().collect()
    } else {
        cases.to_vec()
    }
}

/// The load path of a part, whatever canopies it flies under.
pub(super) struct Path<'a> {
    part: &'a Part,
    project: &'a Project,
    offers: &'a [Offer],
}

/// A member under certain canopies.
struct Link<'a> {
    name: String,
    kind: MemberKind,
    carries: Carries,
    stage: Option<&'a str>,
    /// As the project states it; `None` for a canopy by its maker's rating.
    said: Option<&'a Member>,
}

/// A member, judged.
struct Judged<'a> {
    link: Link<'a>,
    borne: Result<Borne, String>,
    rated: Result<Rated<'a>, String>,
    factors: Result<Factors, String>,
    sharing: Option<usize>,
    margin: Option<Margin>,
    verdict: Verdict,
    reason: String,
}

/// The canopies that a part is judged under, and what they pull with.
#[derive(Clone, Copy)]
pub(super) struct Under<'a> {
    pub rig: &'a Rig,
    pub offer: Option<&'a Offer>,
    pub rows: &'a [Row],
}

impl<'a> Path<'a> {
    pub fn new(part: &'a Part, project: &'a Project, offers: &'a [Offer]) -> Self {
        Path { part, project, offers }
    }

    /// Whether anything is stated that could be too weak.
    pub fn is_stated(&self) -> bool {
        !self.part.members.is_empty() || self.offers.iter().any(|offer| offer.rated_load_n.is_some())
    }

    /// Where no member is stated, ratings of canopies are judged only where their loads are known.
    fn is_asked(&self, rows: &[Row]) -> bool {
        let known = || rows.iter().any(|row| row.event == Event::Opening && row.load.is_ok());
        self.is_stated() && (!self.part.members.is_empty() || known())
    }

    /// What the load path says of a candidate; `None` where nothing is asked of it.
    pub fn judge(&self, under: Under<'_>) -> Option<Beside> {
        if !self.is_asked(under.rows) {
            return None;
        }
        let judged = self.all(under);
        let (verdict, reason) = word(&judged);
        Some(Beside { by: By::Load, verdict, reason })
    }

    /// Every member under these canopies, from the cloth to the part.
    fn all<'u>(&'u self, under: Under<'u>) -> Vec<Judged<'u>> {
        let mut links: Vec<Link<'u>> = self.stated(&under.rig.offer).collect();
        // A canopy that is stated as a member is judged as stated; one of which cloth, lines and skirt are, by these, where its
        // maker does not rate it.
        use MemberKind::{Canopy, Fabric, Lines, Skirt};
        let is_stated = |kind| links.iter().any(|link| link.kind == kind && self.is_of_canopies(link));
        let rated = under.offer.is_some_and(|offer| offer.rated_load_n.is_some());
        let by_its_parts = [Fabric, Lines, Skirt].into_iter().all(is_stated) && !rated;
        if !is_stated(Canopy) && !by_its_parts {
            links.push(Link {
                name: format!("canopy {}", under.rig.offer),
                kind: MemberKind::Canopy,
                carries: Carries::OneCanopy,
                stage: None,
                said: None,
            });
        }
        links.sort_by_key(|link| link.kind);
        links.into_iter().map(|link| self.one(link, under)).collect()
    }

    fn stated<'u>(&'u self, offer: &'u str) -> impl Iterator<Item = Link<'u>> {
        let mine = move |member: &&Member| member.of.as_ref().is_none_or(|of| of.value == offer);
        self.part.members.iter().filter(mine).map(|member| Link {
            name: member.name.value.clone(),
            kind: member.is.value,
            carries: member.carries.given().copied().unwrap_or_else(|| pulls::carries(member.is.value)),
            stage: member.stage.as_ref().map(|stage| stage.value.as_str()),
            said: Some(member),
        })
    }

    /// Whether it belongs to the canopies chosen, not to a stage's own.
    fn is_of_canopies(&self, link: &Link<'_>) -> bool {
        let own = |name: &str| {
            self.part.stages.iter().any(|stage| stage.name.value == name && !stage.opens_canopies())
        };
        link.stage.is_none_or(|stage| !own(stage))
    }

    fn one<'u>(&'u self, link: Link<'u>, under: Under<'u>) -> Judged<'u> {
        let borne = pulls::of_link(under.rows, &self.part.stages, &link);
        let rated = self.rated(&link, under);
        let sharing = strength::sharing(&link);
        let factors = self.factors(&link, under);
        let known = match (&borne, &rated, &factors, sharing) {
            (Ok(Some(borne)), Ok(rated), Ok(factors), Some(sharing)) => {
                Some((borne, rated, factors, sharing))
            }
            _ => None,
        };
        let margin = known
            .map(|(borne, rated, factors, sharing)| margin(rated.as_force(), sharing, factors, &borne.pull));
        let (word, reason) = match (&borne, &rated, &factors, sharing, &margin) {
            (_, Err(why), ..) | (_, _, Err(why), ..) => (Verdict::Undecided, why.clone()),
            (_, _, _, None, _) => {
                (Verdict::Undecided, format!("how many share the pull on {} is not known", link.name))
            }
            (Err(why), ..) => {
                (Verdict::Undecided, format!("what pulls at {} is not known. {why}", link.name))
            }
            (Ok(None), ..) => (Verdict::NotJudged, format!("nothing pulls at {}", link.name)),
            (Ok(Some(borne)), Ok(rated), Ok(factors), Some(sharing), margin) => {
                let would_do = strength_that_would_do(sharing, factors, &borne.pull);
                let word = verdict(margin.as_ref());
                let held = held(&link.name, rated, would_do, &borne.when);
                match (word, &borne.unknown) {
                    (Verdict::Meets, Some(why)) => {
                        (Verdict::Undecided, format!("{held}. What else pulls at it is not known. {why}"))
                    }
                    _ => (word, held),
                }
            }
        };
        let borne = match borne {
            Ok(Some(borne)) => Ok(borne),
            Ok(None) => Err("nothing pulls at it".to_owned()),
            Err(why) => Err(why),
        };
        Judged { link, borne, rated, factors, sharing, margin, verdict: word, reason }
    }
}

/// "swivel is rated 4000 N; 3120 N would do (nothing opened before)".
fn held(name: &str, rated: &Rated<'_>, would_do_n: f64, when: &str) -> String {
    let (rating, wanted, kind) = rated.beside(would_do_n);
    let text = |si: f64| show(si, 0.02 * si, kind, System::Si);
    format!("{name} is rated {}, {} would do ({when})", text(rating), text(wanted))
}

/// The word over all members with the reason: of the one that decides it.
fn word(judged: &[Judged<'_>]) -> (Verdict, String) {
    let verdict = worst_of(judged.iter().map(|of| of.verdict));
    let deciding = || judged.iter().filter(|of| of.verdict == verdict);
    let margin = |of: &&Judged<'_>| of.margin.map_or(f64::NEG_INFINITY, |margin| margin.at_worst);
    let least = deciding().min_by(|a, b| margin(a).total_cmp(&margin(b)));
    (verdict, least.map_or_else(|| "no member is judged".to_owned(), |of| of.reason.clone()))
}

/// Which member is the weakest of those that are judged.
fn weakest_of(judged: &[Judged<'_>]) -> Option<usize> {
    let asked: Vec<usize> =
        (0..judged.len()).filter(|at| judged[*at].verdict != Verdict::NotJudged).collect();
    let margins: Vec<Option<Margin>> = asked.iter().map(|at| judged[*at].margin).collect();
    weakest(&margins).map(|at| asked[at])
}
