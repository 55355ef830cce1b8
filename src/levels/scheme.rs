//! The usual cycle: m levels of shores, n levels of reshores, floor after floor.
//!
//! Cycle of ACI 347.2R: form and cast on the topmost shores; strip the lowest level of shores, so
//! that the slab carries its own weight; take away the lowest reshores; place them in the stripped
//! storey; move the forms up. Taking the reshores first is worse, and [`Order::ReshoresFirst`] shows
//! by how much.

use super::chain::{Amount, Chain, ChainError, Contact, PropKind};

/// In which order a cycle takes its props.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Strip the shores, then take the lowest reshores.
    StripFirst,
    /// Take the lowest reshores while the shores still stand.
    ReshoresFirst,
}

/// A scheme of shoring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scheme {
    /// Levels of shores, at least 1.
    pub shores: usize,
    /// Levels of reshores.
    pub reshores: usize,
    pub order: Order,
    pub contact: Contact,
}

/// The state after one operation, in units of one slab's weight.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<T> {
    /// `cast 3`, `strip 1`, `take reshores 1`, `reshore 1`; slabs counted from 1.
    pub what: String,
    /// What each slab cast so far carries.
    pub slabs: Vec<T>,
    /// Force under each slab; none where no props stand.
    pub props: Vec<Option<T>>,
}

/// What a scheme comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Extremes<T> {
    /// Largest load of any slab ever, and the slab, counted from 1.
    pub slab: (T, usize),
    /// Largest load of any slab while the last floors were cast.
    pub steady: T,
    /// Largest force in any level of props.
    pub prop: T,
}

impl Scheme {
    /// Goes through the casting of so many floors. All slabs weigh 1 and are equally stiff; props do
    /// not shorten.
    ///
    /// # Errors
    /// When there is no level of shores.
    pub fn rows<T: Amount>(&self, floors: usize) -> Result<Vec<Row<T>>, ChainError> {
        if self.shores == 0 {
            return Err(ChainError::NothingBeneath(0));
        }
        let one = || (T::one(), T::one());
        let mut chain = Chain::<T>::new((0..floors).map(|_| one()), self.contact);
        let mut rows = Vec::new();
        for slab in 0..floors {
            chain.cast(slab, T::zero())?;
            keep(&chain, format!("cast {}", slab + 1), &mut rows);
            chain.harden(slab)?;
            if slab + 1 < self.shores {
                continue;
            }
            let strip = slab + 1 - self.shores;
            let standing: Vec<usize> =
                (0..floors).filter(|&i| chain.kind(i) == Some(PropKind::Reshore)).collect();
            let lowest = standing.first().copied().filter(|_| standing.len() == self.reshores);
            let take = |chain: &mut Chain<T>, rows: &mut Vec<Row<T>>| -> Result<(), ChainError> {
                if let Some(i) = lowest {
                    chain.take_props(i)?;
                    keep(chain, format!("take reshores {}", i + 1), rows);
                }
                Ok(())
            };
            if self.order == Order::ReshoresFirst {
                take(&mut chain, &mut rows)?;
            }
            chain.take_props(strip)?;
            keep(&chain, format!("strip {}", strip + 1), &mut rows);
            if self.order == Order::StripFirst {
                take(&mut chain, &mut rows)?;
            }
            if self.reshores > 0 {
                chain.reshore(strip, T::zero())?;
                keep(&chain, format!("reshore {}", strip + 1), &mut rows);
            }
        }
        Ok(rows)
    }

    /// The largest loads while so many floors are cast.
    ///
    /// # Errors
    /// As [`Scheme::rows`].
    pub fn extremes<T: Amount>(&self, floors: usize) -> Result<Extremes<T>, ChainError> {
        let rows = self.rows::<T>(floors)?;
        let mut out = Extremes { slab: (T::zero(), 0), steady: T::zero(), prop: T::zero() };
        // Two whole cycles at the end.
        let late =
            rows.iter().rposition(|r| r.what == format!("cast {}", floors.saturating_sub(2)));
        for (k, row) in rows.iter().enumerate() {
            for (i, load) in row.slabs.iter().enumerate() {
                if *load > out.slab.0 {
                    out.slab = (load.clone(), i + 1);
                }
                if late.is_some_and(|late| k >= late) && *load > out.steady {
                    out.steady = load.clone();
                }
            }
            for force in row.props.iter().flatten() {
                if *force > out.prop {
                    out.prop = force.clone();
                }
            }
        }
        Ok(out)
    }
}

fn keep<T: Amount>(chain: &Chain<T>, what: String, rows: &mut Vec<Row<T>>) {
    let cast = (0..chain.len()).take_while(|&i| chain.is_cast(i)).count();
    rows.push(Row {
        what,
        slabs: (0..cast).map(|i| chain.slab(i)).collect(),
        props: (0..cast).map(|i| chain.prop(i)).collect(),
    });
}
