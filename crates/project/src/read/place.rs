//! The plan's head, site and sessions.

use super::Row;
use crate::project::{Air, Plan, Session, Site};
use crate::walk::Inner;
use crate::wire;

/// The keys of the air, which a site and a session have alike.
macro_rules! air {
    ($keys:ident) => {
        Air {
            elevation: $keys.elevation,
            latitude: $keys.latitude,
            temperature: $keys.temperature,
            pressure: $keys.pressure,
            pressure_is: $keys.pressure_is,
            humidity: $keys.humidity,
        }
    };
}

pub(super) fn plan(plan: Inner<wire::Plan>) -> Plan {
    let wire::Plan { number, builder, safety_officer, date } = plan.keys;
    Plan { number, builder, safety_officer, date }
}

pub(super) fn site(site: Inner<wire::Site>) -> Site {
    let keys = site.keys;
    Site {
        place: keys.place,
        air: air!(keys),
        longitude: keys.longitude,
        share_inside: keys.share_inside,
        spot: site.spot,
    }
}

pub(super) fn session(row: Row<wire::Session>) -> Option<Session> {
    let keys = row.keys;
    Some(Session {
        name: row.name,
        date: keys.date,
        place: keys.place,
        air: air!(keys),
        wind: keys.wind,
        slow_air: keys.slow_air,
        clock: keys.clock,
        height_scale: keys.height_scale,
    })
}
