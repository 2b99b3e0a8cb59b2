//! Every key that `silkfall.toml` may have, once: its name, what it holds, what it means, its bounds.
//!
//! The reader, the unknown-key check, the schema for editors and its text all come from these tables. A key's type says
//! how it is read: [`Needed`](crate::walk::Needed) must be there, [`Known`](crate::value::Known) may be `"?"` or left out,
//! [`Maybe`](crate::walk::Maybe) may be left out only.

/// Declares tables: meaning, then `key: type = low to high;`, in the order in which they are usually written.
macro_rules! table {
    ($( $(#[doc = $means:literal])+ $name:ident $shown:literal {
        $( $(#[doc = $text:literal])+ $key:ident : $type:ty $(= $low:literal to $high:literal)?; )*
    } )*) => { $(
        $(#[doc = $means])+
        #[derive(Clone, Debug)]
        pub struct $name {
            $( $(#[doc = $text])+ pub $key: $type, )*
        }

        impl crate::walk::Table for $name {
            const NAME: &'static str = $shown;
            const MEANS: &'static str = concat!($($means),+);
            const KEYS: &'static [crate::walk::Key] = &[ $( crate::walk::Key {
                table: $shown,
                name: stringify!($key),
                means: concat!($($text),+),
                bounds: table!(@bounds $($low $high)?),
            }, )* ];

            fn walk(
                table: Option<&dyn toml_edit::TableLike>,
                at: &crate::walk::At,
                read: &mut crate::walk::Reader,
            ) -> Self {
                if let Some(table) = table {
                    read.keys::<Self>(table, at);
                }
                let mut keys = <Self as crate::walk::Table>::KEYS.iter();
                $name { $( $key: {
                    let key = keys.next().expect("there is a key for each field");
                    crate::walk::field(table, key, at, read)
                }, )* }
            }

            fn key_schemas(
                generator: &mut schemars::SchemaGenerator,
            ) -> Vec<(&'static crate::walk::Key, schemars::Schema, bool)> {
                let mut keys = <Self as crate::walk::Table>::KEYS.iter();
                vec![ $( {
                    let key = keys.next().expect("there is a key for each field");
                    let schema = <$type as crate::walk::Field>::schema(key, generator);
                    (key, schema, <$type as crate::walk::Field>::NEEDED)
                }, )* ]
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
                crate::walk::table_schema::<Self>(generator)
            }
        }
    )*

        /// Every table with its keys.
        pub const TABLES: &[(&str, &[crate::walk::Key])] =
            &[ $( ($shown, <$name as crate::walk::Table>::KEYS), )* ];
    };
    (@bounds) => { None };
    (@bounds $low:literal $high:literal) => { Some(($low, $high)) };
}

// After the macro that they are written with.
mod bay;
mod canopies;
mod held;
mod part;
mod place;
mod root;
mod stage;
mod test;

pub use bay::{Bay, Door, GasOf, Item, Roll, SensorBay};
pub use canopies::{Canopy, Model};
pub use held::{Content, Device, Factors, Harness, HarnessPoint, Member};
pub use part::{Body, Case, Part, Rig};
pub use place::{Flight, Session, Site, Wind, WithWind};
pub use root::{Choice, Plan, Root};
pub use stage::{Cord, Opening, Reefing, Stage};
pub use test::{Drop, Reading, Test};

use crate::walk::Key;

/// Every table with its keys.
pub fn tables() -> impl Iterator<Item = &'static (&'static str, &'static [Key])> {
    [
        root::TABLES,
        place::TABLES,
        canopies::TABLES,
        part::TABLES,
        bay::TABLES,
        held::TABLES,
        stage::TABLES,
        test::TABLES,
    ]
    .into_iter()
    .flatten()
}

/// The tables that have a key of that name.
pub fn tables_with(key: &str) -> Vec<&'static str> {
    tables().filter(|(_, keys)| keys.iter().any(|known| known.name == key)).map(|(table, _)| *table).collect()
}
