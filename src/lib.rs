//! Finds frequencies that stay quiet together.
//!
//! A plan goes one way through these stages, and a stage uses only those above it.
//!
//! # Example
//!
//! A relay whose 2 m side has its third harmonic on the input of its own 70 cm side:
//!
//! ```
//! use quietpair::assess::{Verdict, assess};
//! use quietpair::quantity::Frequency;
//! use quietpair::render::{self, CheckReport, Look};
//! use quietpair::scenario::{NoFiles, read};
//!
//! let scenario = r"
//! event: {name: Harbour run}
//! rules: [uk]
//! licence: full
//! sites:
//!   hill: {at: [54.4150, -0.5320], ground: 118 m}
//! stations:
//!   - {name: Relay, site: hill, radio: dual-band-mobile, power: low}
//! proposals:
//!   - {name: last year, station: Relay, cross_band: [435.6750, 145.2250]}
//! ";
//! // What cannot be understood is an error, with every fault and its line; a bad plan is none.
//! let plan = read("harbour-run.yaml", scenario.as_bytes(), &NoFiles)?;
//! let assessment = assess(&plan);
//!
//! let last_year = &assessment.proposals[0];
//! assert_eq!(last_year.verdict, Verdict::Conflict);
//! let harmonic = last_year
//!     .findings
//!     .iter()
//!     .find(|finding| finding.check == "harmonic")
//!     .expect("three times 145.2250 MHz");
//! assert_eq!(harmonic.product, Some(Frequency::hz(435_675_000)));
//! assert_eq!(harmonic.arithmetic, "3 × 145.2250 = 435.6750 MHz");
//!
//! // The same as a page for people, or as JSON for scripts.
//! let text = render::ALL.iter().find(|format| format.name == "text").expect("a format");
//! let report = CheckReport { assessment: &assessment, defaults: None };
//! assert!((text.check)(&report, &Look::default()).contains("Harbour run"));
//! # Ok::<(), quietpair::scenario::ScenarioError>(())
//! ```

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

pub mod import;

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

pub mod effort;

pub mod search;

pub mod report;

pub mod render;
