//! What has to work so that a part comes down as meant, as a person wrote it.

use crate::value::{Known, Said};
use crate::words::DeviceIs;

/// One thing that may fail. The names it calls are those of devices of the same part.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Its name.
    pub name: Said<String>,
    /// What it is.
    pub is: Known<DeviceIs>,
    /// Devices without which it does nothing, all of them.
    pub needs: Vec<Said<String>>,
    /// Devices that set it going, each of which is enough.
    pub fired_by: Vec<Said<String>>,
    /// What comes out by it; absent: only other devices depend on it.
    pub opens: Known<Opens>,
    /// How many canopies depend on it; absent: all of them.
    pub canopies: Known<u32>,
    /// What may strike it together with others that name the same.
    pub shared_causes: Vec<Said<String>>,
    /// Whether it may act too early; absent: by what it is.
    pub may_act_early: Known<bool>,
}

/// What comes out by a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Opens {
    /// The part's chosen canopies.
    Canopies,
    /// Its stage of that name.
    Stage(String),
}
