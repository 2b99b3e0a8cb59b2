//! `work`: whole projects.

use silkfall_sheet::{Effort, Memo, Unwatched, work};

use crate::invented::{DEMO, folder};

#[test]
fn the_demo_is_worked() {
    let folder = folder(DEMO);
    let mut memo = Memo::default();
    let sheet = work(&folder, Effort::Quick, &mut memo, &Unwatched).unwrap();
    for finding in &sheet.findings {
        eprintln!("{:?} {} {:?}", finding.code, finding.message, finding.place);
    }
    for part in &sheet.parts {
        for test in &part.tests {
            eprintln!(
                "{} {:?} {:?}",
                test.name,
                test.rate.as_ref().map(|n| (n.si, n.interval_95)),
                test.drag_area.as_ref().map(|n| (n.si, n.interval_95))
            );
        }
        for factor in &part.drag.as_ref().unwrap().factors {
            eprintln!(
                "{} {:?} {:?}",
                factor.id,
                factor.number.as_ref().map(|n| (n.si, n.interval_95)),
                factor.trust
            );
        }
    }
}
