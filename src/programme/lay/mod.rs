//! stub.
use super::types::{Laid, Plan};
/// stub
pub fn lay(_plan: &Plan) -> Laid {
    Laid::default()
}
