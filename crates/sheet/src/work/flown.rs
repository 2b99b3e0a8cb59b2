//! A part's fall under its canopies: read once for its landing and its loads.

use silkfall_core::cases::{Case, Load, Rig};
use silkfall_core::full_size::Offer;
use silkfall_core::ledger::Ledger;

use super::landing::{self, Fall, Landed, Reading};
use super::loads;
use super::notes::Notes;
use super::part::{Given, trials};
use crate::watch::{LandingTold, Stopped, Watch};

/// What a part flies through and how, whatever the canopies.
pub(super) struct Flight<'a> {
    pub given: &'a Given<'a>,
    pub offers: &'a [Offer],
    pub load: &'a Load,
    pub cases: &'a [Case],
    pub ledger: &'a Ledger,
}

/// A fall and how it comes down.
pub(super) struct Flown<'a> {
    pub fall: Fall<'a>,
    pub landed: Option<Landed>,
    pub notes: Notes,
}

impl<'a> Flight<'a> {
    /// What it falls through under these canopies.
    pub fn fall(&self, rig: &'a Rig) -> Fall<'a> {
        let Given { part, project, places, .. } = *self.given;
        Fall::read(Reading { project, part, site: &places.site, rig, offer: self.offer(rig) })
    }

    /// Of which these canopies are.
    pub fn offer(&self, rig: &Rig) -> Option<&'a Offer> {
        self.offers.iter().find(|offer| offer.name == rig.offer)
    }

    /// What opens in these cases under these canopies.
    pub fn loads<'b>(&'b self, fall: &'b Fall<'b>, rig: &Rig, cases: &'b [Case]) -> loads::Given<'b> {
        let Flight { load, ledger, .. } = *self;
        loads::Given {
            fall,
            load,
            offer: self.offer(rig),
            cases,
            ledger,
            seed: trials(self.given.effort).seed,
        }
    }

    /// Comes down under these canopies. It is told to whoever watches as soon as it is there.
    pub fn fly(&self, rig: &'a Rig, watch: &dyn Watch) -> Result<Flown<'a>, Stopped> {
        let Given { part, project, effort, kept, .. } = *self.given;
        let Flight { load, cases, ledger, .. } = *self;
        let fall = self.fall(rig);
        let mut notes = Notes::default();
        let given = landing::Given { project, part, fall: &fall, load, rig, cases, ledger, kept, effort };
        let landed = landing::work(&given, &mut notes, watch)?;
        if let Some(Landed { sheet, .. }) = &landed {
            watch.landing(&LandingTold { sheet, hows: &notes.hows });
        }
        Ok(Flown { fall, landed, notes })
    }
}
