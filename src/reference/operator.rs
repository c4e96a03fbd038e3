//! Distributors by the first two digits of a supply number with their dated fuse policies (`operators.csv`), and the
//! rules of the operators' common process by number (`operator_rules.csv`).

use crate::table::Table;
use std::sync::OnceLock;

/// One distributor area.
#[derive(Clone, Debug)]
pub struct Operator {
    /// First two digits of the supply number.
    pub distributor: u8,
    /// Area.
    pub area: &'static str,
    /// Largest cut-out fuse the operator's policy allows a home, amperes; `None` where none is published.
    pub fuse_policy_a: Option<f64>,
    /// Year of that policy.
    pub policy_date: &'static str,
    /// Where it was seen.
    pub source: &'static str,
}

/// The area operator with this distributor number; `None` for independents (24 and above) and unknown numbers.
pub fn operator(distributor: u8) -> Option<&'static Operator> {
    static TABLE: OnceLock<Vec<Operator>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/operators.csv"))
                .rows()
                .map(|row| Operator {
                    distributor: row.needed("distributor") as u8,
                    area: row.kept("area"),
                    fuse_policy_a: row.number("fuse_policy_a"),
                    policy_date: row.kept("policy_date"),
                    source: row.kept("source"),
                })
                .collect()
        })
        .iter()
        .find(|operator| operator.distributor == distributor)
}

/// One rule of the operators' common process.
#[derive(Clone, Debug)]
pub struct OperatorRule {
    /// R1 to R17.
    pub rule: &'static str,
    /// What is found at the premises.
    pub condition: &'static str,
    /// What follows.
    pub outcome: &'static str,
    /// The check that asks it.
    pub check: &'static str,
    /// How well it is known.
    pub status: &'static str,
    /// From where.
    pub source: &'static str,
}

/// The rules, by number.
pub fn operator_rules() -> &'static [OperatorRule] {
    static TABLE: OnceLock<Vec<OperatorRule>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("tables/operator_rules.csv"))
            .rows()
            .map(|row| OperatorRule {
                rule: row.kept("rule"),
                condition: row.kept("condition"),
                outcome: row.kept("outcome"),
                check: row.kept("check"),
                status: row.kept("status"),
                source: row.kept("source"),
            })
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_with_a_fuse_policy_are_known() {
        assert_eq!(operator(14).and_then(|o| o.fuse_policy_a), Some(80.0));
        assert_eq!(operator(10).and_then(|o| o.fuse_policy_a), None);
        assert!(operator(31).is_none());
    }
}
