//! Not made yet: every look-up is refused. See crate fem, examples `tabulate` and `make_table`.
use super::TableError;
/// t
pub const ERROR: TableError = TableError { runs: 0, force_out_rms: 0.0, force_out_max: 0.0, force_in_rms: 0.0, over_push_rms: 0.0 };
/// t
pub const LN_D_OVER_T: [f64; 2] = [2.7, 4.38];
/// t
pub const LN_YIELD_STRAIN: [f64; 2] = [-6.9, -5.4];
/// t
pub const EXPONENT: [f64; 2] = [0.02, 0.5];
/// t
pub const LN_BALL: [f64; 2] = [-1.38, -0.5];
/// t
pub const LN_DEPTH: [f64; 2] = [-4.6, -1.2];
/// t
pub const LN_VALUES: [[f64; 3]; 32] = [[f64::NAN; 3]; 32];
