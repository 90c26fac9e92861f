//! The car to practise on.

use crate::car::Corner;
use crate::visit::Move;

use super::desk::scenario;
use super::follow::adjusters;

#[test]
fn scenario_and_record_of_the_practice_car_can_be_read_and_speak_of_the_same_adjusters() {
    let scenario = scenario().unwrap();
    let record = crate::car::read(super::desk::RECORD).unwrap();
    assert!(!record.adjusters.is_empty());
    for adjuster in &record.adjusters {
        let amount = if adjuster.name == "upper_arm_shims" {
            vec![1.0, 2.0]
        } else {
            vec![1.0]
        };
        let moved = Move {
            adjuster: adjuster.name.clone(),
            corner: Corner::FrontLeft,
            amount,
            amount_standard: None,
            seen_to: Vec::new(),
        };
        let simulated = adjusters(&moved);
        assert!(!simulated.is_empty(), "{}", adjuster.name);
        for (name, by) in simulated {
            assert!(by > 0.0);
            let known = scenario.car().workshop.adjusters.iter();
            assert!(known.into_iter().any(|a| a.name == name), "{name}");
        }
    }
}
