//! What a non-linear stage makes of several signals: where the products lie, how wide they are, at which level.
//!
//! A combination is a list of terms, each a whole-number coefficient and the thing it multiplies.

mod combination;
mod enumeration;
mod intercept;
mod landing;

pub use combination::{
    adding_up, arithmetic, combined_frequency, fundamentals, order, product_tolerance,
    product_width,
};
pub use enumeration::{Product, products, visit_products};
pub use intercept::{intercept_from_rejection, intermod_level, rejection_from_intercept};
pub use landing::{
    Landing, LandingError, MOST_COMBINATIONS, MOST_LANDINGS, combinations, landings,
};
