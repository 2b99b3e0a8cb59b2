//! The chosen candidates.

use std::collections::BTreeSet;

use super::refers;
use crate::notes::Notes;
use crate::project::Choice;
use crate::value::Said;
use crate::walk::key_text;
use crate::wire;

/// Choices in the order written; one that names a part or an offer that is not there is left out.
pub(super) fn choices(
    rows: Vec<(Said<String>, wire::Choice)>,
    parts: &BTreeSet<&str>,
    offers: Option<&BTreeSet<&str>>,
    notes: &mut Notes,
) -> Vec<Choice> {
    let choice = |(part, keys): (Said<String>, wire::Choice)| {
        let path = format!("choice.{}", key_text(&part.value));
        let part_there = refers(&part, "part", parts, &path, notes);
        let (offer, count) = (keys.offer.0?, keys.count.0?);
        let offer_there =
            offers.is_none_or(|offers| refers(&offer, "offer", offers, &format!("{path}.offer"), notes));
        (part_there && offer_there).then_some(Choice { part, offer, count })
    };
    rows.into_iter().filter_map(choice).collect()
}
