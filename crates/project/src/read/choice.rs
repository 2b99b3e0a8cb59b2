//! The chosen candidates.

use super::refers;
use crate::notes::Notes;
use crate::project::{Choice, Project};
use crate::value::Said;
use crate::walk::key_text;
use crate::wire;

/// Choices in the order written; one that names a part or an offer that is not there is left out.
pub(super) fn choices(
    rows: Vec<(Said<String>, wire::Choice)>,
    known: &Project,
    offers_known: bool,
    notes: &mut Notes,
) -> Vec<Choice> {
    let choice = |(part, keys): (Said<String>, wire::Choice)| {
        let path = format!("choice.{}", key_text(&part.value));
        let parts = known.parts.iter().map(|part| part.name.value.as_str());
        let part_there = refers(&part, "part", parts, &path, notes);
        let (offer, count) = (keys.offer.0?, keys.count.0?);
        let ids = known.offers.iter().map(|offer| offer.id.value.as_str());
        let offer_there = !offers_known || refers(&offer, "offer", ids, &format!("{path}.offer"), notes);
        (part_there && offer_there).then_some(Choice { part, offer, count })
    };
    rows.into_iter().filter_map(choice).collect()
}
