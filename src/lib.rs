//! Finds frequencies that stay quiet together.
//!
//! A plan goes one way through these stages, and a stage uses only those above it.

pub mod quantity;

pub mod physics;
