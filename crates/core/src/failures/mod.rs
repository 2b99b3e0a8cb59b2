//! What if it fails: what follows where a device does nothing, or acts too early, and which case that is.
//!
//! A device works where it is sound itself, everything it needs works, and, where something fires it, at least one of
//! those works. One that does nothing takes with it, in turn, all that depends on it: the largest set of devices that
//! can still all work is what is left. One that acts too early fires in turn all that it fires. What is left of the
//! stages and canopies is the outcome, and each outcome is a case ([`covers`]) or should be one.
//!
//! Logic only, no source: common practice of failure trees, one failure at a time, and one shared cause at a time, which
//! strikes all devices that name it. Not here: chances, two independent failures at once, a device that works late.

use std::collections::{BTreeMap, BTreeSet};

use crate::cases::CaseKind;

/// A device: a battery, an altimeter, a charge, a bag.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Device {
    /// Its name.
    pub name: String,
    /// Devices, by index, all of which it needs.
    pub needs: Vec<usize>,
    /// Devices, by index, any one of which sets it going; empty: nothing has to.
    pub fired_by: Vec<usize>,
    /// What may strike it together with others that name the same.
    pub causes: Vec<String>,
    /// What depends on it; `None`: only other devices do.
    pub serves: Option<Serves>,
    /// Whether it may act too early.
    pub may_act_early: bool,
}

/// What comes out, or opens, by a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Serves {
    /// A stage other than the canopies, by index.
    Stage(usize),
    /// So many of the canopies, or all.
    Canopies(Option<usize>),
}

/// What a part has.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree {
    /// Its devices.
    pub devices: Vec<Device>,
    /// How many canopies it comes down on.
    pub canopies: usize,
}

/// What fails.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fails {
    /// One device, by index.
    Device(usize),
    /// All that share a cause.
    Cause(String),
}

/// How it fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// It does nothing.
    Dead,
    /// It acts too early.
    Early,
}

/// What follows for the way down.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// Canopies that still open.
    pub open: usize,
    /// Stages other than the canopies that do not come, by index.
    pub stages_lost: Vec<usize>,
    /// Stages other than the canopies that come too early, by index.
    pub stages_early: Vec<usize>,
    /// Whether canopies open too early.
    pub canopies_early: bool,
}

/// One failure and what follows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What fails.
    pub fails: Fails,
    /// How.
    pub how: How,
    /// Devices that fail with it by the same cause, and those that no longer work (or act early with it), by index.
    pub also: Vec<usize>,
    /// What follows.
    pub outcome: Outcome,
    /// Whether it alone keeps a stage, or every canopy, from coming.
    pub single_point: bool,
}

/// Every single failure in the order of the devices, dead before early, then each shared cause in the order of the
/// alphabet.
///
/// # Examples
/// Two altimeters fire one charge: neither is a single point, the charge is.
/// ```
/// use silkfall_core::failures::{Device, Serves, Tree, failures};
/// let altimeter = |name: &str| Device { name: name.to_owned(), ..Device::default() };
/// let charge = Device {
///     name: "charge".to_owned(),
///     fired_by: vec![0, 1],
///     serves: Some(Serves::Canopies(None)),
///     ..Device::default()
/// };
/// let tree = Tree { devices: vec![altimeter("a"), altimeter("b"), charge], canopies: 1 };
/// let single: Vec<bool> = failures(&tree).iter().map(|failure| failure.single_point).collect();
/// assert_eq!(single, [false, false, true]);
/// ```
pub fn failures(tree: &Tree) -> Vec<Failure> {
    let mut found = Vec::new();
    for (i, device) in tree.devices.iter().enumerate() {
        let one = BTreeSet::from([i]);
        found.push(failure(tree, Fails::Device(i), How::Dead, &one));
        if device.may_act_early {
            found.push(failure(tree, Fails::Device(i), How::Early, &one));
        }
    }
    for (cause, struck) in shared_causes(tree) {
        found.push(failure(tree, Fails::Cause(cause), How::Dead, &struck));
    }
    found
}

/// Causes that at least two devices name, with those devices.
fn shared_causes(tree: &Tree) -> BTreeMap<String, BTreeSet<usize>> {
    let mut causes: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for (i, device) in tree.devices.iter().enumerate() {
        for cause in &device.causes {
            causes.entry(cause.clone()).or_default().insert(i);
        }
    }
    causes.retain(|_, struck| struck.len() > 1);
    causes
}

fn failure(tree: &Tree, fails: Fails, how: How, struck: &BTreeSet<usize>) -> Failure {
    let (affected, outcome) = match how {
        How::Dead => {
            let dead = dead_with(tree, struck);
            let outcome = outcome(tree, &dead, &BTreeSet::new());
            (dead, outcome)
        }
        How::Early => {
            let early = early_with(tree, struck);
            let outcome = outcome(tree, &BTreeSet::new(), &early);
            (early, outcome)
        }
    };
    let itself = |i: &usize| fails == Fails::Device(*i);
    let also = affected.into_iter().filter(|i| !itself(i)).collect();
    let lost = tree.canopies > 0 && outcome.open == 0 || !outcome.stages_lost.is_empty();
    let single_point = lost && matches!(fails, Fails::Device(_));
    Failure { fails, how, also, outcome, single_point }
}

/// The struck and all that no longer works then.
fn dead_with(tree: &Tree, struck: &BTreeSet<usize>) -> BTreeSet<usize> {
    let mut dead = struck.clone();
    loop {
        let dies = |(i, device): (usize, &Device)| {
            let starved = device.needs.iter().any(|need| dead.contains(need));
            let unfired = !device.fired_by.is_empty() && device.fired_by.iter().all(|by| dead.contains(by));
            (!dead.contains(&i) && (starved || unfired)).then_some(i)
        };
        let more: Vec<usize> = tree.devices.iter().enumerate().filter_map(dies).collect();
        if more.is_empty() {
            return dead;
        }
        dead.extend(more);
    }
}

/// The struck and all that they fire.
fn early_with(tree: &Tree, struck: &BTreeSet<usize>) -> BTreeSet<usize> {
    let mut early = struck.clone();
    loop {
        let fires = |(i, device): (usize, &Device)| {
            (!early.contains(&i) && device.fired_by.iter().any(|by| early.contains(by))).then_some(i)
        };
        let more: Vec<usize> = tree.devices.iter().enumerate().filter_map(fires).collect();
        if more.is_empty() {
            return early;
        }
        early.extend(more);
    }
}

fn outcome(tree: &Tree, dead: &BTreeSet<usize>, early: &BTreeSet<usize>) -> Outcome {
    let served =
        |of: &BTreeSet<usize>| -> Vec<Serves> { of.iter().filter_map(|&i| tree.devices[i].serves).collect() };
    let stages = |of: &[Serves]| -> Vec<usize> {
        let stage = |serves: &Serves| match serves {
            Serves::Stage(stage) => Some(*stage),
            Serves::Canopies(_) => None,
        };
        of.iter().filter_map(stage).collect::<BTreeSet<_>>().into_iter().collect()
    };
    let (lost, fired) = (served(dead), served(early));
    let shut = lost.iter().fold(0, |shut, serves| match serves {
        Serves::Canopies(None) => tree.canopies,
        Serves::Canopies(Some(count)) => shut + count,
        Serves::Stage(_) => shut,
    });
    Outcome {
        open: tree.canopies.saturating_sub(shut),
        stages_lost: stages(&lost),
        stages_early: stages(&fired),
        canopies_early: fired.iter().any(|serves| matches!(serves, Serves::Canopies(_))),
    }
}

/// Whether it leaves the way down as it was meant.
pub fn is_harmless(outcome: &Outcome, canopies: usize) -> bool {
    let Outcome { open, stages_lost, stages_early, canopies_early } = outcome;
    *open == canopies && stages_lost.is_empty() && stages_early.is_empty() && !canopies_early
}

/// Whether a case of that kind is what follows: with no canopy open "nothing opens", which takes no credit for a stage that
/// still brakes; with some open that many; with all open and a stage lost "no drogue then main".
pub fn covers(kind: CaseKind, outcome: &Outcome, canopies: usize) -> bool {
    let Outcome { open, stages_lost, stages_early, canopies_early } = outcome;
    match kind {
        CaseKind::AllOpen => is_harmless(outcome, canopies),
        CaseKind::Nothing => *open == 0,
        CaseKind::StayShut(shut) => *open > 0 && *open < canopies && shut == canopies - open,
        CaseKind::Only(only) => *open > 0 && *open < canopies && only == *open,
        CaseKind::NoDrogue => *open == canopies && !stages_lost.is_empty(),
        CaseKind::MainAtTop => *canopies_early,
        CaseKind::EarlyOpening => *canopies_early || !stages_early.is_empty(),
        CaseKind::NotFilled => false,
    }
}

/// Devices that depend on themselves by what they need or are fired by, in the order of the devices.
pub fn in_a_loop(devices: &[Device]) -> Vec<usize> {
    let reaches_itself = |start: usize| {
        let mut seen = BTreeSet::new();
        let mut open = vec![start];
        while let Some(at) = open.pop() {
            for &next in devices[at].needs.iter().chain(&devices[at].fired_by) {
                if next == start {
                    return true;
                }
                if seen.insert(next) {
                    open.push(next);
                }
            }
        }
        false
    };
    (0..devices.len()).filter(|&i| reaches_itself(i)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn device(name: &str, needs: &[usize], fired_by: &[usize], serves: Option<Serves>) -> Device {
        Device {
            name: name.to_owned(),
            needs: needs.to_vec(),
            fired_by: fired_by.to_vec(),
            serves,
            ..Device::default()
        }
    }

    /// Batteries 0 and 1, altimeters 2 and 3, release 4 of all three canopies, bags 5 to 7 of one canopy each, drogue 8.
    fn tree() -> Tree {
        let mut devices = vec![
            device("battery a", &[], &[], None),
            device("battery b", &[], &[], None),
            device("altimeter a", &[0], &[], None),
            device("altimeter b", &[1], &[], None),
            device("release", &[], &[2, 3], Some(Serves::Canopies(None))),
        ];
        devices.extend(
            ["bag 1", "bag 2", "bag 3"].map(|n| device(n, &[4], &[], Some(Serves::Canopies(Some(1))))),
        );
        devices.push(device("drogue line", &[], &[], Some(Serves::Stage(0))));
        for altimeter in [2, 3] {
            devices[altimeter].causes = vec!["ports iced".to_owned()];
            devices[altimeter].may_act_early = true;
        }
        Tree { devices, canopies: 3 }
    }

    fn dead(all: &[Failure], i: usize) -> &Failure {
        all.iter().find(|f| f.fails == Fails::Device(i) && f.how == How::Dead).unwrap()
    }

    #[test]
    fn what_is_doubled_is_no_single_point_and_what_is_not_is_one() {
        let all = failures(&tree());
        for i in 0..4 {
            assert!(!dead(&all, i).single_point && is_harmless(&dead(&all, i).outcome, 3), "{i}");
        }
        assert_eq!(dead(&all, 0).also, [2], "its altimeter goes with the battery");
        assert!(dead(&all, 4).single_point);
        assert_eq!((dead(&all, 5).outcome.open, dead(&all, 5).single_point), (2, false));
        assert_eq!(
            (dead(&all, 8).outcome.stages_lost.as_slice(), dead(&all, 8).single_point),
            (&[0][..], true)
        );
    }

    #[test]
    fn a_shared_cause_undoes_what_is_doubled() {
        let all = failures(&tree());
        let cause = all.iter().find(|f| matches!(&f.fails, Fails::Cause(c) if c == "ports iced")).unwrap();
        assert_eq!((cause.outcome.open, cause.single_point), (0, false));
        assert_eq!(cause.also, [2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn without_the_second_altimeter_the_first_and_its_battery_are_single_points() {
        let mut tree = tree();
        tree.devices[4].fired_by = vec![2];
        let all = failures(&tree);
        assert!(dead(&all, 2).single_point && dead(&all, 0).single_point);
        assert!(!dead(&all, 3).single_point, "it fires nothing any more");
    }

    #[test]
    fn what_acts_early_fires_what_it_fires() {
        let all = failures(&tree());
        let early = all.iter().find(|f| f.fails == Fails::Device(2) && f.how == How::Early).unwrap();
        assert!(early.outcome.canopies_early && early.outcome.open == 3);
        assert_eq!(early.also, [4]);
        assert!(
            covers(CaseKind::MainAtTop, &early.outcome, 3) && !covers(CaseKind::AllOpen, &early.outcome, 3)
        );
    }

    #[test]
    fn each_outcome_is_its_case() {
        let all = failures(&tree());
        let covered = |i: usize, kind| covers(kind, &dead(&all, i).outcome, 3);
        assert!(covered(0, CaseKind::AllOpen) && !covered(0, CaseKind::Nothing));
        assert!(covered(4, CaseKind::Nothing) && !covered(4, CaseKind::NotFilled));
        assert!(covered(5, CaseKind::StayShut(1)) && covered(5, CaseKind::Only(2)));
        assert!(!covered(5, CaseKind::StayShut(2)) && !covered(5, CaseKind::AllOpen));
        assert!(covered(8, CaseKind::NoDrogue) && !covered(8, CaseKind::AllOpen));
    }

    #[test]
    fn a_loop_is_found_and_does_not_hang() {
        let devices =
            vec![device("a", &[1], &[], None), device("b", &[], &[0], None), device("c", &[0], &[], None)];
        assert_eq!(in_a_loop(&devices), [0, 1]);
        assert_eq!(failures(&Tree { devices, canopies: 1 }).len(), 3);
    }
}
