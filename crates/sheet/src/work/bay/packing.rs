//! What is packed in a bay, and whether every offer and count fits.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use silkfall_core::candidates::{Beside, By};
use silkfall_core::cases::Verdict;
use silkfall_core::derivation::{Derivation, How, NumberId, num, sym};
use silkfall_core::finding::{Code, Finding, Subject};
use silkfall_core::full_size::Offer;
use silkfall_core::ledger::{Distribution, Estimate, LedgerId, Trust};
use silkfall_core::packing::{
    Bay, density_wanted, fits, length_in_bay, practices, pressed, volume_of_mass, volume_of_roll,
};
use silkfall_core::pooling::student_95;
use silkfall_core::quantity::Kind;
use silkfall_project::Project;
use silkfall_project::bay::{Item, Takes};
use silkfall_project::project::Part;
use silkfall_project::value::{Known, Quantity};

use super::{Is, Shell, derived, ours, stated};
use crate::number::Number;
use crate::packing::{ContentSheet, OfferFitSheet, PackingSheet};
use crate::work::notes::{Notes, PROJECT_FILE, closed, input, linear};

/// Relative standard uncertainty of a maker's packed volume that states none: a judgement of ours.
const MAKERS_FIGURE: f64 = 0.05;

/// What one thing takes of the bay.
#[derive(Clone, Debug)]
struct Taken {
    volume: Option<Is>,
    /// How its volume came about, where a form gives it.
    how: Option<(Derivation, Vec<(&'static str, Is)>)>,
    length_m: Estimate,
    soft_kg: Option<f64>,
    basis: String,
    trust: Trust,
}

/// A part's bay with what lies in it beside the canopies; what is wanting says so.
pub(in crate::work) struct Room<'a> {
    part: &'a Part,
    project: &'a Project,
    bay: Option<Bay>,
    /// Diameter, length, volume, share filled.
    shell: Option<[Is; 4]>,
    items: Vec<(&'a Item, Option<Taken>)>,
    /// One canopy of each offer; `None` where nothing says how it packs.
    packs: BTreeMap<String, Option<Taken>>,
    density: Is,
    /// What is not known, for which nothing can be told.
    missing: Option<String>,
}

impl<'a> Room<'a> {
    /// `None` where neither size of a bay is stated: then nothing is said of packing.
    pub fn new(part: &'a Part, project: &'a Project, offers: &[Offer], notes: &mut Notes) -> Option<Self> {
        let of = &part.bay;
        let name = part.name.value.as_str();
        if of.diameter.is_absent() && of.length.is_absent() {
            return None;
        }
        let density = match of.packing_density.given() {
            Some(density) => {
                stated(name, "bay.packing_density", "density that canopies are packed to", density, notes)
            }
            None => {
                let way = &practices()[0];
                let [low, high] = way.kg_per_m3;
                let distribution = Distribution::Rectangular { low, high };
                let meaning = "density that small canopies are packed to by hand in a tube";
                ours(
                    "packing-density",
                    meaning,
                    f64::midpoint(low, high),
                    distribution,
                    way.trust.clone(),
                    notes,
                )
            }
        };
        let mut room = Room {
            part,
            project,
            bay: None,
            shell: None,
            items: Vec::new(),
            packs: BTreeMap::new(),
            density,
            missing: None,
        };
        room.missing = super::lacks(&of.diameter, "the bay's diameter")
            .or_else(|| super::lacks(&of.length, "the bay's length"));
        if of.packing_density.is_unknown() {
            room.missing = Some("the packing density is not known".to_owned());
        }
        if let (Some(diameter), Some(length)) = (of.diameter.given(), of.length.given()) {
            room.shell(diameter, length, notes);
        }
        if let Some(bay) = room.bay.clone() {
            let one = |offer: &Offer| (offer.name.clone(), room.pack(offer, &bay, notes));
            room.packs = offers.iter().map(one).collect();
        }
        Some(room)
    }

    fn shell(
        &mut self,
        diameter: &Quantity<silkfall_core::quantity::Length>,
        length: &Quantity<silkfall_core::quantity::Length>,
        notes: &mut Notes,
    ) {
        let name = self.part.name.value.as_str();
        let path = self.path();
        let mut of = |key: &str, meaning: &str, quantity: &Quantity<silkfall_core::quantity::Length>| {
            let is = stated(name, &format!("bay.{key}"), meaning, quantity, notes);
            let number = linear(format!("{path}.{key}"), &is.estimate, Kind::Length);
            let number = notes.given(number, &format!("part.{name}.bay.{key}"), quantity.text());
            Is { number: Some(number.id), ..is }
        };
        let diameter = of("diameter", "inner diameter of the bay", diameter);
        let length = of("length", "length of the bay", length);
        let filled = match self.part.bay.section_filled.given() {
            Some(share) => {
                stated(name, "bay.section_filled", "share of the bay's section that packs fill", share, notes)
            }
            None => Is::exact(1.0, Trust::Assumed("packs are soft and fill the section".to_owned())),
        };
        let bay = Bay {
            diameter_m: diameter.estimate.clone(),
            length_m: length.estimate.clone(),
            filled: filled.estimate.clone(),
        };
        let how = closed(
            "V_b",
            "volume of the bay",
            Kind::Volume,
            num(PI / 4.0) * sym("D").pow(2.0) * sym("L_b"),
            vec![
                input("D", "inner diameter of the bay", diameter.si(), Kind::Length, Trust::Given, None),
                input("L_b", "its length", length.si(), Kind::Length, Trust::Given, None),
            ],
            Trust::Published("volume of a cylinder".to_owned()),
        );
        let (_, volume) =
            derived(format!("{path}.volume"), how, &[("D", &diameter), ("L_b", &length)], notes);
        self.shell = Some([diameter, length, volume, filled]);
        let items = &self.part.bay.items;
        let items: Vec<(&Item, Option<Taken>)> =
            items.iter().map(|item| (item, self.item(item, &bay, notes))).collect();
        if let Some((item, _)) = items.iter().find(|(_, taken)| taken.is_none()) {
            self.missing = Some(format!("what {} takes of the bay is not known", item.name.value));
        }
        self.items = items;
        self.bay = Some(bay);
    }

    fn path(&self) -> String {
        format!("parts.{}.packing.bay", self.part.name.value)
    }

    /// The shell alone, for what opens it.
    pub fn outside(&self) -> Option<Shell> {
        let [diameter, _, volume, _] = self.shell.as_ref()?;
        Some(Shell { diameter: diameter.clone(), volume: volume.clone() })
    }

    fn taken(
        &self,
        bay: &Bay,
        volume: Is,
        how: Option<(Derivation, Vec<(&'static str, Is)>)>,
        basis: &str,
    ) -> Taken {
        Taken {
            length_m: bay.length_of(1.0, &volume.estimate),
            trust: volume.trust.clone(),
            volume: Some(volume),
            how,
            soft_kg: None,
            basis: basis.to_owned(),
        }
    }

    fn item(&self, item: &Item, bay: &Bay, notes: &mut Notes) -> Option<Taken> {
        let name = self.part.name.value.as_str();
        let key = |field: &str| format!("bay.item.{}.{field}", item.name.value);
        let what = |of: &str| format!("{of} of {}", item.name.value);
        let mut taken = match item.takes.given()? {
            Takes::Length(length) => {
                let is = stated(name, &key("length"), &what("length"), length, notes);
                Taken {
                    volume: None,
                    how: None,
                    length_m: is.estimate,
                    soft_kg: None,
                    basis: format!("its length, {}", length.text()),
                    trust: Trust::Given,
                }
            }
            Takes::Roll(across, along) => {
                let d = stated(name, &key("diameter"), &what("diameter"), across, notes);
                let l = stated(name, &key("length"), &what("length"), along, notes);
                let basis = format!("measured roll, {} × {}", across.text(), along.text());
                let (how, from, is) = rolled(d, l, 1.0);
                self.taken(bay, is, Some((how, from)), &basis)
            }
            Takes::Volume(volume) => {
                let is = stated(name, &key("volume"), &what("volume"), volume, notes);
                self.taken(bay, is, None, "volume as stated")
            }
            Takes::Mass(mass, density) => {
                let m = stated(name, &key("mass"), &what("mass"), mass, notes);
                let density = match density {
                    Some(density) => {
                        stated(name, &key("packing_density"), &what("packing density"), density, notes)
                    }
                    None => self.density.clone(),
                };
                let (how, from, is) = massed(m, density);
                self.taken(bay, is, Some((how, from)), "mass and packing density")
            }
        };
        taken.soft_kg = taken.volume.as_ref().and(item.mass.given()).map(Quantity::si);
        Some(taken)
    }

    /// So many canopies of an offer; `None` where nothing says how they pack.
    fn canopies(&self, offer: &str, count: usize, bay: &Bay) -> Option<Taken> {
        let mut taken = self.packs.get(offer)?.clone()?;
        let n = count as f64;
        taken.length_m = bay.length_of(n, &taken.volume.as_ref()?.estimate);
        taken.soft_kg = taken.soft_kg.map(|mass| n * mass);
        Some(taken)
    }

    /// One canopy of an offer: by its measured roll, else its maker's figure, else its mass.
    fn pack(&self, offer: &Offer, bay: &Bay, notes: &mut Notes) -> Option<Taken> {
        let name = self.part.name.value.as_str();
        let roll = self.part.bay.rolls.iter().find(|roll| roll.offer.value == offer.name);
        if let Some(roll) = roll {
            let (across, along) = (roll.diameter.given()?, roll.length.given()?);
            let holds = match &roll.holds {
                Known::Given(said) => f64::from(said.value),
                Known::Absent => 1.0,
                Known::Unknown { .. } => return None,
            };
            let key = |field: &str| format!("bay.roll.{}.{field}", offer.name);
            let what = |of: &str| format!("{of} of the measured roll of {}", offer.name);
            let d = stated(name, &key("diameter"), &what("diameter"), across, notes);
            let l = stated(name, &key("length"), &what("length"), along, notes);
            let basis = format!("measured roll of {holds:.0}, {} × {}", across.text(), along.text());
            let (how, from, mut is) = rolled(d, l, holds);
            is.trust = Trust::Measured;
            let mut taken = self.taken(bay, is, Some((how, from)), &basis);
            taken.soft_kg = offer.mass_kg;
            return Some(taken);
        }
        let stated_offer = self.project.offer(&offer.name);
        if let Some(volume) = offer.packed_volume_m3 {
            let said = stated_offer.and_then(|offer| offer.packed_volume.given());
            let u = said.map_or(0.0, Quantity::standard_uncertainty_si);
            let id = format!("offer.{}.packed-volume", offer.name);
            let meaning = format!("packed volume of {} by its maker", offer.name);
            let (sd, trust, basis) = if u > 0.0 {
                (u, Trust::Given, "the maker's figure")
            } else {
                let judged =
                    "a maker's packed volume is off by 5 %, one standard uncertainty, a judgement of ours";
                (MAKERS_FIGURE * volume, Trust::Assumed(judged.to_owned()), "the maker's figure, ± 5 %")
            };
            let is = ours(&id, &meaning, volume, Distribution::Normal { sd }, trust, notes);
            let mut taken = self.taken(bay, Is { trust: Trust::Given, ..is }, None, basis);
            taken.soft_kg = offer.mass_kg;
            return Some(taken);
        }
        let mass = offer.mass_kg?;
        let u =
            stated_offer.and_then(|offer| offer.mass.given()).map_or(0.0, Quantity::standard_uncertainty_si);
        let id = LedgerId(format!("offer.{}.mass", offer.name));
        let m = Is { estimate: crate::work::tests::exact_or(mass, id, u), trust: Trust::Given, number: None };
        let (how, from, is) = massed(m, self.density.clone());
        let mut taken = self.taken(bay, is, Some((how, from)), "mass and packing density");
        taken.soft_kg = Some(mass);
        Some(taken)
    }

    /// Length that lies in the bay beside the canopies.
    fn others(&self) -> Estimate {
        let taken = self.items.iter().filter_map(|(_, taken)| taken.as_ref());
        taken.fold(Estimate::exact(0.0), |sum, taken| crate::work::tests::added(sum, &taken.length_m))
    }

    /// What the bay says of so many canopies of an offer.
    pub fn judge(&self, offer: &str, count: usize) -> Beside {
        let (verdict, reason) = self.verdict(offer, count);
        Beside { by: By::Bay, verdict, reason }
    }

    fn verdict(&self, offer: &str, count: usize) -> (Verdict, String) {
        let open = |why: String| (Verdict::Undecided, why);
        if let Some(missing) = &self.missing {
            return open(missing.clone());
        }
        let Some(bay) = &self.bay else { return open("the bay is not known".to_owned()) };
        let Some(taken) = self.canopies(offer, count, bay) else {
            return open("how these canopies pack is not known".to_owned());
        };
        let all = crate::work::tests::added(self.others(), &taken.length_m);
        fits(&bay.spare(&all))
    }

    /// The sheet, with the canopies chosen where there are some; a bay that they do not fit is a finding.
    pub fn sheet(&self, chosen: Option<(&str, usize)>, offers: &[Offer], notes: &mut Notes) -> PackingSheet {
        let mut sheet = PackingSheet {
            name: "bay".to_owned(),
            diameter: None,
            length: None,
            volume: None,
            contents: Vec::new(),
            taken: None,
            spare: None,
            density_wanted: None,
            pressed: None,
            verdict: Verdict::Undecided,
            reason: self.missing.clone().unwrap_or_default(),
            offers: Vec::new(),
            says: self.says(),
        };
        let (Some(bay), Some([diameter, length, volume, filled])) = (&self.bay, &self.shell) else {
            return sheet;
        };
        let number = |is: &Is, kind: Kind| {
            linear(is.number.clone().expect("the shell's numbers are on the sheet"), &is.estimate, kind)
        };
        sheet.diameter = Some(number(diameter, Kind::Length));
        sheet.length = Some(number(length, Kind::Length));
        sheet.volume = Some(number(volume, Kind::Volume));
        let mut reached: Option<Is> = None;
        let mut hard_m = 0.0;
        let mut soft_kg = 0.0;
        let canopies = chosen.and_then(|(offer, count)| {
            let taken = self.canopies(offer, count, bay)?;
            Some((format!("{count} × {offer}"), count as f64, true, taken))
        });
        let items = self
            .items
            .iter()
            .filter_map(|(item, taken)| Some((item.name.value.clone(), 1.0, false, taken.clone()?)));
        for (name, count, are_canopies, taken) in items.chain(canopies) {
            match taken.soft_kg {
                Some(mass) => soft_kg += mass,
                None => hard_m += taken.length_m.value,
            }
            let content =
                self.content(&name, count, are_canopies, taken, (diameter, filled, bay), &mut reached, notes);
            sheet.contents.push(content);
        }
        if let Some(all) = &reached {
            let path = self.path();
            let how = closed(
                "L_a",
                "length that all of it takes",
                Kind::Length,
                sym("x"),
                vec![input(
                    "x",
                    "where the last ends, from the bulkhead",
                    all.si(),
                    Kind::Length,
                    Trust::Given,
                    None,
                )],
                Trust::Practice,
            );
            let (taken, all) = derived(format!("{path}.taken"), how, &[("x", all)], notes);
            let how = closed(
                "L_s",
                "length to spare; below 0 it is wanting",
                Kind::Length,
                sym("L_b") - sym("L_a"),
                vec![
                    input("L_b", "length of the bay", length.si(), Kind::Length, Trust::Given, None),
                    input("L_a", "length taken", all.si(), Kind::Length, Trust::Given, None),
                ],
                Trust::Practice,
            );
            let (spare, _) = derived(format!("{path}.spare"), how, &[("L_b", length), ("L_a", &all)], notes);
            sheet.taken = Some(taken);
            sheet.spare = Some(spare);
            let filled_m3 = filled.si() * volume.si();
            let hard_m3 = filled.si() * bay.section_m2() * hard_m;
            if let Some(how) = density_wanted(soft_kg, filled_m3, hard_m3).filter(|_| soft_kg > 0.0) {
                sheet.pressed = Some(pressed(how.si).words());
                let (wanted, _) = derived(format!("{path}.density_wanted"), how, &[], notes);
                sheet.density_wanted = Some(wanted);
            }
        }
        let (verdict, reason) = match chosen {
            Some((offer, count)) => self.verdict(offer, count),
            None => (Verdict::NotJudged, "no canopies are chosen".to_owned()),
        };
        (sheet.verdict, sheet.reason) = (verdict, reason);
        sheet.offers = offers.iter().filter_map(|offer| self.offer_fits(offer, bay, notes)).collect();
        self.findings(&sheet, chosen, notes);
        sheet
    }

    #[expect(clippy::too_many_arguments, reason = "one line of the table, from all that stands in it")]
    fn content(
        &self,
        name: &str,
        count: f64,
        canopies: bool,
        taken: Taken,
        (diameter, filled, bay): (&Is, &Is, &Bay),
        reached: &mut Option<Is>,
        notes: &mut Notes,
    ) -> ContentSheet {
        let path = format!("{}.contents.{name}", self.path());
        let (volume, length) = match &taken.volume {
            Some(of) => {
                let (number, of) =
                    self.volume_number(format!("{path}.volume"), of, taken.how.as_ref(), notes);
                let how = length_in_bay(count, of.si(), bay);
                let from = [("V", &of), ("phi", filled), ("D", diameter)];
                let (length, is) = derived(format!("{path}.length"), how, &from, notes);
                (Some(number), (length, is))
            }
            None => {
                let number = linear(format!("{path}.length"), &taken.length_m, Kind::Length);
                let key = format!("part.{}.bay.item.{name}.length", self.part.name.value);
                let number = notes.given(number, &key, taken.basis.trim_start_matches("its length, "));
                let is = Is::shown(&number, taken.length_m.clone(), Trust::Given);
                (None, (number, is))
            }
        };
        let (length, is) = length;
        let mut inputs = vec![input("l", "length it takes", is.si(), Kind::Length, Trust::Given, None)];
        let mut from = vec![("l", &is)];
        let mut expr = sym("l");
        let before = reached.take();
        if let Some(before) = &before {
            expr = sym("x_0") + expr;
            inputs.push(input(
                "x_0",
                "where the one before it ends",
                before.si(),
                Kind::Length,
                Trust::Given,
                None,
            ));
            from.push(("x_0", before));
        }
        let how =
            closed("x", "where it ends, from the bulkhead", Kind::Length, expr, inputs, Trust::Practice);
        let (to, end) = derived(format!("{path}.to"), how, &from, notes);
        *reached = Some(end);
        ContentSheet {
            name: name.to_owned(),
            canopies,
            volume,
            length,
            to,
            basis: taken.basis,
            trust: taken.trust,
        }
    }

    /// The number of a packed volume: by its form, or as stated.
    fn volume_number(
        &self,
        path: String,
        of: &Is,
        how: Option<&(Derivation, Vec<(&'static str, Is)>)>,
        notes: &mut Notes,
    ) -> (Number, Is) {
        match how {
            Some((how, from)) => {
                let from: Vec<(&'static str, &Is)> = from.iter().map(|(symbol, is)| (*symbol, is)).collect();
                derived(path, how.clone(), &from, notes)
            }
            None => {
                let number = linear(path, &of.estimate, Kind::Volume);
                let key = of.estimate.parts.keys().next().map_or("volume".to_owned(), ToString::to_string);
                let text = super::text(of.si(), Kind::Volume);
                let number = notes.number(number, How::Given { key, text });
                let is = Is::shown(&number, of.estimate.clone(), of.trust.clone());
                (number, is)
            }
        }
    }

    fn offer_fits(&self, offer: &Offer, bay: &Bay, notes: &mut Notes) -> Option<OfferFitSheet> {
        let one = self.canopies(&offer.name, 1, bay)?;
        let volume = one.volume.as_ref()?;
        let path = format!("{}.offers.{}.volume", self.path(), offer.name);
        let (number, _) = self.volume_number(path, volume, one.how.as_ref(), notes);
        let others = self.others();
        let most = bay.most(others.value, volume.si());
        let surely = |count: u32| {
            let all =
                crate::work::tests::added(others.clone(), &bay.length_of(f64::from(count), &volume.estimate));
            let spare = bay.spare(&all);
            spare.value - student_95(spare.dof()) * spare.standard_uncertainty() >= 0.0
        };
        let surely = (0..=most).rev().find(|count| *count == 0 || surely(*count)).unwrap_or(0);
        Some(OfferFitSheet {
            name: offer.name.clone(),
            volume: number,
            basis: one.basis,
            trust: one.trust,
            most: most as usize,
            surely: surely as usize,
        })
    }

    fn says(&self) -> Vec<String> {
        let mut says = vec![
            "Packs are taken as soft: they fill the section and lie end on end, the canopies next to the lid.".to_owned(),
        ];
        if self.part.bay.packing_density.is_absent() {
            let way = &practices()[0];
            says.push(format!(
                "What is known by its mass alone is taken to pack to {:.0} to {:.0} kg/m³ ({}); a measured roll overrides that.",
                way.kg_per_m3[0],
                way.kg_per_m3[1],
                way.trust.mark()
            ));
        }
        says
    }

    fn findings(&self, sheet: &PackingSheet, chosen: Option<(&str, usize)>, notes: &mut Notes) {
        let code = match sheet.verdict {
            Verdict::Misses => Code::BayDoesNotFit,
            Verdict::Undecided => Code::BayFitUndecided,
            Verdict::Meets | Verdict::NotJudged => return,
        };
        let what = chosen.map_or_else(String::new, |(offer, count)| format!("{count} × {offer}: "));
        let key = format!("part.{}.bay.length", self.part.name.value);
        let spot = self.part.bay.length.spot().or(self.part.bay.spot);
        let finding = Finding::new(code, Subject::Key(key), format!("{what}{}", sheet.reason));
        notes.find(finding.at(PROJECT_FILE, spot.map(|at| at.line), spot.map(|at| at.column)));
    }
}

type Rolled = (Derivation, Vec<(&'static str, Is)>, Is);

fn of_form(how: Derivation, from: Vec<(&'static str, Is)>) -> Rolled {
    let slopes: Vec<(&Estimate, f64)> =
        from.iter().filter_map(|(symbol, is)| Some((&is.estimate, how.slope(symbol)?))).collect();
    let estimate = Estimate::made_of(how.si, &slopes);
    let trust = super::least_trusted(from.iter().map(|(_, is)| &is.trust));
    let is = Is { estimate, trust, number: None::<NumberId> };
    (how, from, is)
}

fn rolled(across: Is, along: Is, holds: f64) -> Rolled {
    of_form(volume_of_roll(across.si(), along.si(), holds), vec![("d", across), ("l", along)])
}

fn massed(mass: Is, density: Is) -> Rolled {
    let how = volume_of_mass(mass.si(), density.si(), density.trust.clone());
    of_form(how, vec![("m", mass), ("rho_p", density)])
}
