//! Every number of a sheet, and whether it can say how it came about.

use silkfall_core::derivation::NumberId;

use crate::deployment::DeploymentSheet;
use crate::hanging::{HangSheet, HarnessSheet, RiggingSheet};
use crate::landing::{AskedWind, InsideSheet, LandingSheet};
use crate::load_path::{MemberSheet, ShockSheet};
use crate::loads::{LoadSheet, SnatchSheet};
use crate::number::Number;
use crate::packing::PackingSheet;
use crate::plan::{BeginsSheet, PlanPartSheet, PlanSheet};
use crate::sheet::{
    CandidateSheet, CandidateStanding, CaseSheet, DragSheet, Falls, FullSize, PartSheet, SessionSheet, Sheet,
    TestSheet,
};

impl Sheet {
    /// All numbers, in the order of the sheet. What a part rests on are numbers that stand elsewhere in it.
    pub fn numbers(&self) -> Vec<&Number> {
        let mut all = Vec::new();
        for part in &self.parts {
            of_part(part, &mut all);
        }
        self.landing.iter().for_each(|landing| of_landing(landing, &mut all));
        for allowed in &self.go_no_go {
            all.push(&allowed.from);
            let ranges = allowed.ranges.iter().chain(&allowed.sure_ranges);
            all.extend(ranges.flat_map(|range| [&range.low, &range.high]));
        }
        of_plan(&self.plan, &mut all);
        self.sessions.iter().chain([&self.site]).for_each(|session| of_session(session, &mut all));
        all
    }

    /// The paths of numbers that cannot say how they came about: a defect each.
    pub fn without_how(&self) -> Vec<&NumberId> {
        self.numbers()
            .into_iter()
            .map(|number| &number.id)
            .filter(|id| !self.hows.contains_key(*id))
            .collect()
    }
}

fn of_part<'a>(part: &'a PartSheet, all: &mut Vec<&'a Number>) {
    part.falls.iter().for_each(|falls| of_falls(falls, all));
    part.tests.iter().for_each(|test| of_test(test, all));
    part.drag.iter().for_each(|drag| of_drag(drag, all));
    part.full_size.iter().for_each(|full| of_full_size(full, all));
    part.cases.iter().for_each(|case| of_case(case, all));
    part.candidates.iter().for_each(|candidate| of_candidate(candidate, all));
    part.loads.iter().for_each(|load| of_load(load, all));
    part.load_path.iter().for_each(|member| of_member(member, all));
    part.shock.iter().for_each(|shock| of_shock(shock, all));
    if let Some(opening) = &part.openings {
        all.extend(opening.traces.iter().map(|trace| &trace.weight));
        all.extend(opening.lag.iter().map(|lag| &lag.bound));
        all.extend(opening.reefing.iter().flat_map(|held| [Some(&held.share), held.line.as_ref()]).flatten());
    }
    part.packing.iter().for_each(|packing| of_packing(packing, all));
    part.deployment.iter().for_each(|sheet| of_deployment(sheet, all));
    part.harness.iter().for_each(|harness| of_harness(harness, all));
    part.hanging.iter().for_each(|hang| of_hang(hang, all));
    part.rigging.iter().for_each(|rigging| of_rigging(rigging, all));
}

fn of_load<'a>(load: &'a LoadSheet, all: &mut Vec<&'a Number>) {
    if let Ok(pull) = &load.load {
        all.extend([&pull.speed, &pull.force, &pull.at_95, &pull.all_at_95]);
        if let Some(steps) = &pull.steps {
            all.extend([&steps.held_at_95, &steps.after_at_95, &steps.let_go, &steps.lost]);
        }
        if let Some(snatch) = &pull.snatch {
            let SnatchSheet { force, energy, to_break, strength, edge, .. } = snatch;
            all.extend([force, energy, to_break, strength, edge]);
        }
        all.extend(pull.worst.iter().flat_map(|worst| [&worst.speed, &worst.at_95, &worst.all_at_95]));
    }
}

fn of_member<'a>(of: &'a MemberSheet, all: &mut Vec<&'a Number>) {
    all.extend(of.pull.iter().flat_map(|pull| [&pull.force, &pull.at_95]));
    all.extend([&of.rated, &of.holds, &of.surely_holds, &of.allowed, &of.would_do].into_iter().flatten());
    all.extend(of.factors.iter().flat_map(|factor| [Some(&factor.best), factor.worst.as_ref()]).flatten());
    all.extend(of.design_factor.iter().flatten());
    all.extend(of.margin.iter().flat_map(|margin| [&margin.margin, &margin.at_95, &margin.at_worst]));
}

fn of_shock<'a>(of: &'a ShockSheet, all: &mut Vec<&'a Number>) {
    all.extend([&of.pull.force, &of.pull.at_95, &of.shock, &of.at_95]);
    all.extend(of.contents.iter().flat_map(|content| [&content.limit, &content.fastening]).flatten());
}

fn of_packing<'a>(packing: &'a PackingSheet, all: &mut Vec<&'a Number>) {
    let PackingSheet { diameter, length, volume, taken, spare, density_wanted, .. } = packing;
    all.extend([diameter, length, volume, taken, spare, density_wanted].into_iter().flatten());
    for content in &packing.contents {
        all.extend(content.volume.iter().chain([&content.length, &content.to]));
    }
    all.extend(packing.offers.iter().map(|offer| &offer.volume));
}

fn of_deployment<'a>(sheet: &'a DeploymentSheet, all: &mut Vec<&'a Number>) {
    all.extend(sheet.figures.iter().filter_map(|figure| figure.number.as_ref()));
    all.extend(sheet.charge.iter().flat_map(|charge| [&charge.low, &charge.high]));
}

fn of_harness<'a>(harness: &'a HarnessSheet, all: &mut Vec<&'a Number>) {
    all.extend([&harness.wanted, &harness.confluence].into_iter().flatten());
    all.extend([&harness.centre_of_mass, &harness.centre_of_area, &harness.weight, &harness.each_bears]);
    all.extend(harness.points.iter().flat_map(|point| [&point.at, &point.leg]));
    all.extend(harness.tilt.iter().flat_map(|tilt| [&tilt.off, &tilt.tilt]));
}

fn of_hang<'a>(hang: &'a HangSheet, all: &mut Vec<&'a Number>) {
    all.extend([&hang.angle, &hang.pull]);
    all.extend([&hang.roll, &hang.drag].into_iter().flatten());
    all.extend(hang.legs.iter().flat_map(|leg| [&leg.tension, &leg.slack, &leg.from_upright]).flatten());
}

fn of_rigging<'a>(of: &'a RiggingSheet, all: &mut Vec<&'a Number>) {
    let RiggingSheet { own_length, ring_radius, fly_out, left_along, length_wanted, distance, disc, .. } = of;
    all.extend(
        [own_length, ring_radius, fly_out, left_along, length_wanted, distance, disc].into_iter().flatten(),
    );
    let RiggingSheet { in_bodies, wake_bound, expected_loss, reynolds, body_by_shape, body_tested, .. } = of;
    all.extend(
        [in_bodies, wake_bound, expected_loss, reynolds, body_by_shape, body_tested].into_iter().flatten(),
    );
    all.extend(of.likeness.iter().flat_map(|row| [&row.model, &row.full]).flatten());
}

fn of_falls<'a>(falls: &'a Falls, all: &mut Vec<&'a Number>) {
    all.push(&falls.total);
    all.extend(falls.items.iter().map(|item| &item.mass));
}

fn of_test<'a>(test: &'a TestSheet, all: &mut Vec<&'a Number>) {
    test.falls.iter().for_each(|falls| of_falls(falls, all));
    all.extend(
        [&test.riser_length, &test.rate, &test.scatter, &test.density, &test.drag_area].into_iter().flatten(),
    );
}

fn of_drag<'a>(drag: &'a DragSheet, all: &mut Vec<&'a Number>) {
    all.extend(drag.factors.iter().filter_map(|factor| factor.number.as_ref()));
    all.extend(drag.residuals.iter().flat_map(|residual| [&residual.measured, &residual.fitted]));
}

fn of_full_size<'a>(full: &'a FullSize, all: &mut Vec<&'a Number>) {
    all.extend(full.scale.iter());
    all.extend(full.factors.iter().filter_map(|factor| factor.number.as_ref()));
    all.extend(full.reynolds.iter().map(|reynolds| &reynolds.number));
}

fn of_case<'a>(case: &'a CaseSheet, all: &mut Vec<&'a Number>) {
    all.extend([&case.chance, &case.rate, &case.energy, &case.size_wanted].into_iter().flatten());
    all.extend(case.rate_quantiles.iter().map(|(_, number)| number));
    all.extend(case.at_medians.iter().flat_map(|at| [&at.drag_area, &at.rate, &at.energy]));
    for limit in &case.limits {
        all.extend([&limit.limit, &limit.wanted, &limit.share, &limit.at_worst]);
    }
}

fn of_candidate<'a>(candidate: &'a CandidateSheet, all: &mut Vec<&'a Number>) {
    let CandidateSheet { diameter, margin, mass, volume, price, cases, .. } = candidate;
    all.extend([diameter, margin, mass, volume, price].into_iter().flatten());
    let beside =
        [&candidate.next_smaller, &candidate.next_larger].into_iter().flatten().map(|next| &next.more);
    for more in candidate.over_choice.iter().chain(beside) {
        all.extend([&more.mass, &more.volume, &more.price].into_iter().flatten());
    }
    if let CandidateStanding::OutOfBounds { bound, .. } = &candidate.standing {
        all.push(bound);
    }
    for case in cases {
        all.push(&case.rate);
        all.extend([&case.share, &case.at_worst].into_iter().flatten());
    }
}

fn of_landing<'a>(landing: &'a LandingSheet, all: &mut Vec<&'a Number>) {
    all.extend(&landing.wanted_inside);
    all.extend([&landing.ground_wind, &landing.wind_from, &landing.top]);
    if let AskedWind::AtTheGround(by) = &landing.asked_wind {
        all.push(by);
    }
    let shares = |inside: &'a InsideSheet| [&inside.share, &inside.at_worst];
    for case in &landing.cases {
        all.extend([&case.chance, &case.time_aloft, &case.rate, &case.over_ground].into_iter().flatten());
        all.extend([&case.energy, &case.energy_down, &case.energy_over_ground].into_iter().flatten());
        all.extend([&case.drift, &case.bearing].into_iter().flatten());
        all.extend(case.inside.iter().flat_map(shares));
        all.extend(case.keep_outs.iter().map(|area| &area.share));
        all.extend(case.contributions.iter().map(|contribution| &contribution.share));
    }
    if let Some(mix) = &landing.mix {
        all.extend([&mix.inside, &mix.inside_with_top_fixed].into_iter().flatten().flat_map(shares));
        all.extend(mix.keep_outs.iter().map(|area| &area.share));
        all.extend(mix.sensitivity.iter().flat_map(|case| [&case.never, &case.thrice]));
        let pad = mix.better_pad.iter();
        all.extend(pad.flat_map(|pad| [&pad.distance, &pad.bearing, &pad.share, &pad.share_now]));
    }
    if let Some(opening) = &landing.opening {
        all.extend([&opening.planned, &opening.lost, &opening.reacting, &opening.lowest]);
    }
}

fn of_plan<'a>(plan: &'a PlanSheet, all: &mut Vec<&'a Number>) {
    for part in &plan.parts {
        let PlanPartSheet { body_length, body_diameter, line_length, riser_length, outside, .. } = part;
        let lengths = [body_length, body_diameter, line_length, riser_length];
        all.extend(lengths.into_iter().chain([outside]).flatten());
        all.extend(part.events.iter().filter_map(|event| match event.begins.as_ref()? {
            BeginsSheet::Top => None,
            BeginsSheet::After(number) | BeginsSheet::Below(number) => Some(number),
        }));
    }
    for wind in &plan.winds {
        all.push(&wind.from);
        let ranges = wind.ranges.iter().chain(&wind.sure_ranges);
        all.extend(ranges.flat_map(|range| [&range.low, &range.high]));
    }
}

fn of_session<'a>(session: &'a SessionSheet, all: &mut Vec<&'a Number>) {
    all.extend([&session.density, &session.gravity, &session.temperature, &session.pressure]);
}
