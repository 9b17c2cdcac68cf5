//! Every entry of a car file, declared once.
//!
//! Reading, faults, the list of paths, the JSON schema, editing, writing and the assembly all work
//! from these declarations. A new entry is one row in the table of its kind, which makes its key,
//! and the use of that key in the assembly. Which cars have an entry is a list of conditions on
//! other entries ([`condition::EntryCondition`]).
//!
//! - [`shape`]: kinds of values; whether an entry must be written.
//! - [`words`]: the words of choices, as types.
//! - [`key`]: typed keys.
//! - [`row`]: rows, and the macro that makes rows and keys.
//! - `common`: conditions and texts that several tables share.
//! - `whole`, `drive`, `end`, `links`, `geometry`, `spring`, `bar`, `compliance`, `tire`: the
//!   tables.
//! - [`keys`]: the keys of all tables.
//! - `group`: the entries of a row.
//! - [`condition`]: conditions on other entries.
//! - [`declarations`]: all declarations, by path and by key.

mod bar;
mod common;
mod compliance;
pub mod condition;
pub mod declarations;
mod drive;
mod end;
mod geometry;
pub(in crate::description) mod group;
pub mod key;
pub mod keys;
mod links;
pub mod row;
pub mod shape;
mod spring;
mod tire;
mod whole;
pub mod words;
