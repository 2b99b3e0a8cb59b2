//! `work`: whole projects.

use silkfall_sheet::{Effort, Memo, Outcome, Unwatched, work};

use crate::invented::{DEMO, folder};

#[test]
fn the_demo_meets_its_limits() {
    let sheet = work(&folder(DEMO), Effort::Quick, &mut Memo::default(), &Unwatched).unwrap();
    assert_eq!(sheet.outcome, Outcome::Done, "{:?}", sheet.findings);
    assert_eq!(sheet.parts.len(), 2);
    let tube = &sheet.parts[0];
    assert_eq!(tube.tally.meets, 2);
    assert_eq!(tube.candidates.len(), 12 * 4);
    assert!(tube.candidates.iter().all(|candidate| !candidate.reason.is_empty()));
}
