//! Finds frequencies that stay quiet together.
//!
//! A plan goes one way through these stages, and a stage uses only those above it.

#![warn(clippy::print_stdout, clippy::print_stderr)]
#![warn(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

pub mod topic;

pub mod provenance;

pub mod quantity;

pub mod document;

pub mod budget;

pub mod physics;

pub mod law;

pub mod radio;

pub mod scenario;

pub mod scene;

pub mod net;

pub mod emissions;

pub mod responses;

pub mod encounter;

pub mod finding;

pub mod checks;

pub mod assess;

pub mod compare;

pub mod overview;

pub mod search;

pub mod render;
