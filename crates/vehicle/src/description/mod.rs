//! The description of a car: the entries of a car file as people write them, in their units.
//!
//! Every entry is declared once in [`declare`]; from there come its reading and its faults, the
//! conditions between entries, the list of paths, editing, the JSON schema, the written file and
//! the typed keys by which the assembly reads it.
//!
//! - [`unit`]: units of measure.
//! - [`nearest`], `suggest`: suggestions for mistyped names.
//! - [`declare`]: the declarations and their keys.
//! - `cell`, [`data`]: the values.
//! - [`typed`]: reading by keys.
//! - `value`: one value from a file or an edit.
//! - `missing`, `check`, `check_links`: conditions between entries.
//! - `reading`: a description while it is read or changed, with its faults.
//! - [`read`]: the text of a car file.
//! - [`edit`], [`rear`]: changed descriptions.
//! - [`listing`], `write`, [`serde_form`], [`schema`]: lists, files, maps and the schema.
//! - `replace_file`: a file replaced as a whole.
//! - [`bundled`]: the texts of the bundled cars.

pub mod bundled;
mod cell;
mod check;
mod check_links;
pub mod data;
pub mod declare;
pub mod edit;
pub mod listing;
mod missing;
pub mod nearest;
pub mod read;
pub(crate) mod reading;
pub mod rear;
mod replace_file;
pub mod schema;
pub mod serde_form;
mod suggest;
pub mod typed;
pub mod unit;
mod value;
mod write;
