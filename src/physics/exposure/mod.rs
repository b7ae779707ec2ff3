//! How strong the field near an antenna is, and how far away people must stay.
//!
//! Far-field formulas: nearer than about a wavelength they are rough, and a distance is to be rounded up.

mod density;
mod limits;

pub use density::{
    FieldStrength, GroundReflection, PowerDensity, eirp, eirp_of_erp, erp_of_eirp, field_strength,
    keep_clear, power_density,
};
pub use limits::{Body, ExposureLimit, People, limits};
