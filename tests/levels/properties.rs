//! What must hold at every step of any scheme, whatever its order.
//!
//! A slab carries its own load, and what comes from above, less what goes below; all slabs and the
//! ground together carry everything that was cast; props never pull.

use proptest::prelude::*;
use standwell::levels::{Chain, ChainError, Contact};

#[derive(Clone, Copy, Debug)]
enum Op {
    Cast,
    Harden,
    Take(usize),
    TakeHalf(usize),
    Reshore(usize),
    Load(usize, f64),
    Stiffen(usize, f64),
}

fn op() -> impl Strategy<Value = Op> {
    prop_oneof![
        3 => Just(Op::Cast),
        3 => Just(Op::Harden),
        3 => (0..6usize).prop_map(Op::Take),
        1 => (0..6usize).prop_map(Op::TakeHalf),
        3 => (0..6usize).prop_map(Op::Reshore),
        2 => (0..6usize, -0.5..1.5f64).prop_map(|(i, p)| Op::Load(i, p)),
        1 => (0..6usize, 0.5..3.0f64).prop_map(|(i, k)| Op::Stiffen(i, k)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    #[test]
    fn forces_balance_and_nothing_pulls(
        ops in prop::collection::vec(op(), 1..60),
        weights in prop::collection::vec(0.5..2.0f64, 6),
        flexibility in prop_oneof![Just(0.0), 0.01..3.0f64],
    ) {
        let mut chain = Chain::<f64>::new(weights.into_iter().map(|w| (w, 1.0)), Contact::PushOnly);
        let mut cast = 0;
        for op in ops {
            // What cannot be done is refused and changes nothing.
            let done = match op {
                Op::Cast => {
                    let done = chain.cast(cast, flexibility);
                    cast += usize::from(done.is_ok());
                    done
                }
                Op::Harden => chain.harden(cast.saturating_sub(1)),
                Op::Take(i) => chain.take_props(i),
                Op::TakeHalf(i) => chain.take_share(i, 0.5),
                Op::Reshore(i) => chain.reshore(i, flexibility),
                // Relief, but no slab weighs less than nothing: that is asked below.
                Op::Load(i, p) => chain.load(i, p.max(-chain.on(i))),
                Op::Stiffen(i, k) => chain.stiffen(i, k),
            };
            prop_assert!(!matches!(done, Err(ChainError::NotSettled)), "{op:?}");
            let force = |i: usize| chain.prop(i).unwrap_or(0.0);
            let mut total = 0.0;
            for i in 0..cast {
                let due = chain.on(i) + if i + 1 < 6 { force(i + 1) } else { 0.0 } - force(i);
                prop_assert!((chain.slab(i) - due).abs() < 1e-8, "slab {i}: {} is not {due}", chain.slab(i));
                prop_assert!(force(i) >= -1e-8, "props {i} pull {}", force(i));
                prop_assert!(!chain.has_lifted(i) || force(i) == 0.0);
                total += chain.on(i) - chain.slab(i);
            }
            prop_assert!((total - force(0)).abs() < 1e-7, "{total} goes down, {} arrives", force(0));
        }
    }
}

/// Fresh concrete that is lifted by more than it weighs has nothing to hold it down: no forces are told.
#[test]
fn what_lifts_a_fresh_slab_has_no_answer() {
    let mut chain = Chain::<f64>::new((0..6).map(|_| (0.5, 1.0)), Contact::PushOnly);
    for slab in 0..4 {
        chain.cast(slab, 0.0).unwrap();
    }
    chain.load(3, -0.4).unwrap();
    assert!(matches!(chain.load(3, -0.4), Err(ChainError::NotSettled)));
}
