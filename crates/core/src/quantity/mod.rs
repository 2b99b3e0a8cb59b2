//! Quantities: types for signatures, kinds and units for text.
//!
//! Signatures use uom's types (re-exported here) and the kinds of our own below, where a dimension hides a
//! meaning. Text ("60 in", "4.1 kg ± 20 g", "1.2 m within 1 %") is split here; the factors are uom's.
