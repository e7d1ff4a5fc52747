//! How the rows of a site file are declared: plain structs whose fields stand in the file by name, and
//! nothing else beside them.

/// Whether a flag is off, and so is left out of the file.
pub(super) fn no(flag: &bool) -> bool {
    !*flag
}

/// Structs of public fields that refuse a field they do not know.
macro_rules! rows {
    ($($(#[$doc:meta])* $name:ident { $($(#[$field_attr:meta])* $field:ident: $ty:ty,)* })*) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($(#[$field_attr])* pub $field: $ty,)* }
    )*};
}

pub(super) use rows;
