//! The field card: the winds of every part at once, to be asked at the field.

use silkfall_sheet::{CommonWindSheet, RangeSheet, Sheet};

use super::super::landing::{asked_wind, ranges};
use super::{front, winds};
use crate::document::{Body, CardRow, FieldCard, Rich, Section, Shown};
use crate::figures::{RoseDress, compass};

/// The card; none where no winds are told.
pub(super) fn section(sheet: &Sheet) -> Option<Section> {
    let plan = &sheet.plan;
    if plan.winds.is_empty() {
        return None;
    }
    let mut valid = vec![Rich::from("Void if: ").then(front::void_if(sheet))];
    let date = plan.date.as_deref().unwrap_or("a day not stated");
    valid.push(
        Rich::from(format!("Worked for {date}, inputs "))
            .code(&sheet.fingerprint)
            .plain("; if one of them changed, this card is stale."),
    );
    if let Some(landing) = sheet.landing.first() {
        valid.push(
            Rich::from("Worked with a ground wind of ")
                .number(Shown::from(&landing.ground_wind))
                .plain(" from ")
                .number(Shown { doubt_si: 0.087, ..Shown::from(&landing.wind_from) })
                .plain(". ")
                .then(asked_wind(landing)),
        );
    }
    let card = FieldCard {
        valid,
        worst: winds::worst_case(sheet).unwrap_or_default(),
        compass: winds::compass_of_all(sheet, "card-rose", RoseDress::Pickable),
        strongest_m_per_s: winds::strongest(sheet),
        rows: plan.winds.iter().map(row).collect(),
        table: winds::by_direction(sheet),
    };
    Some(
        Section::new("field-card", "At the field: may it fly in this wind?")
            .in_report(Body::Card(Box::new(card))),
    )
}

fn row(wind: &CommonWindSheet) -> CardRow {
    let plain = |ranges: &[RangeSheet]| {
        ranges.iter().map(|range| (range.low.si, range.high.si, range.reaches_beyond)).collect()
    };
    CardRow {
        point: compass(wind.from.si),
        from: Shown::from(&wind.from),
        ranges: plain(&wind.ranges),
        sure: plain(&wind.sure_ranges),
        says: ranges(&wind.ranges),
        says_sure: ranges(&wind.sure_ranges),
        limited_by: wind.limited_by.clone(),
    }
}
