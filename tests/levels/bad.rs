//! What cannot be done is refused, with the slab.

use standwell::levels::{Chain, ChainError, Contact, Order, Scheme};

fn chain() -> Chain<f64> {
    Chain::new((0..3).map(|_| (1.0, 1.0)), Contact::PushOnly)
}

#[test]
fn steps_that_cannot_be() {
    let mut c = chain();
    assert_eq!(c.cast(1, 0.0), Err(ChainError::NothingBeneath(1)));
    assert_eq!(c.reshore(0, 0.0), Err(ChainError::NotCast(0)));
    assert_eq!(c.take_props(0), Err(ChainError::NoProps(0)));
    assert_eq!(c.harden(0), Err(ChainError::NotCast(0)));
    assert_eq!(c.load(0, 1.0), Err(ChainError::NotCast(0)));
    c.cast(0, 0.0).unwrap();
    assert_eq!(c.cast(0, 0.0), Err(ChainError::CastTwice(0)));
    assert_eq!(c.take_props(0), Err(ChainError::Fresh(0)));
    assert_eq!(c.reshore(0, 0.0), Err(ChainError::Fresh(0)));
    c.harden(0).unwrap();
    assert_eq!(c.reshore(0, 0.0), Err(ChainError::PropsThere(0)));
    assert_eq!(c.take_share(0, 1.0), Err(ChainError::BadNumber));
    assert_eq!(c.stiffen(0, 0.0), Err(ChainError::BadNumber));
    assert_eq!(c.stiffen(0, f64::NAN), Err(ChainError::BadNumber));
    assert_eq!(c.cast(9, 0.0), Err(ChainError::NoSlab(9)));
}

#[test]
fn a_scheme_without_shores_is_refused() {
    let scheme =
        Scheme { shores: 0, reshores: 1, order: Order::StripFirst, contact: Contact::PushOnly };
    assert!(scheme.rows::<f64>(4).is_err());
}
