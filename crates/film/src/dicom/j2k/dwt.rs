//! The inverse wavelet transform (T.800 annex F): four sub-bands become the next larger picture.
//!
//! Both filters are lifting steps that change the even places by their odd neighbours or the other way
//! round. Low and high rows are kept apart while they are lifted, so that each step runs over whole rows
//! and over all rows at once. The 9-7 filter's scaling is a matter of the step size (`scaling`).

use rayon::prelude::*;
use std::marker::PhantomData;

/// A filter and the numbers it works in.
pub(super) trait Filter: Send + Sync {
    type Value: Copy + Default + Send + Sync;
    /// Pairs of lifting steps, each first on the even places, then on the odd ones.
    const PAIRS: usize;
    /// Step number `STEP` for one place and its two neighbours.
    fn lift<const STEP: usize>(
        value: Self::Value,
        before: Self::Value,
        after: Self::Value,
    ) -> Self::Value;
    /// A decoded sample: twice its magnitude, and the size of a step.
    fn value(doubled: u32, negative: bool, step: f32) -> Self::Value;
    fn rounded(value: Self::Value) -> i32;
}

/// The reversible 5-3 filter (F.3.8.1), in whole numbers.
pub(super) struct Reversible;

impl Filter for Reversible {
    type Value = i32;
    const PAIRS: usize = 1;

    #[inline(always)]
    fn lift<const STEP: usize>(value: i32, before: i32, after: i32) -> i32 {
        let both = before.wrapping_add(after);
        match STEP {
            0 => value.wrapping_sub(both.wrapping_add(2) >> 2),
            _ => value.wrapping_add(both >> 1),
        }
    }

    #[inline(always)]
    fn value(doubled: u32, negative: bool, _: f32) -> i32 {
        let value = (doubled >> 1) as i32;
        if negative { -value } else { value }
    }

    #[inline(always)]
    fn rounded(value: i32) -> i32 {
        value
    }
}

/// The irreversible 9-7 filter (F.3.8.2).
pub(super) struct Irreversible;

/// Table F.4.
const ALPHA: f32 = -1.586_134_3;
const BETA: f32 = -0.052_980_12;
const GAMMA: f32 = 0.882_911_1;
const DELTA: f32 = 0.443_506_85;
const K: f32 = 1.230_174_1;

impl Filter for Irreversible {
    type Value = f32;
    const PAIRS: usize = 2;

    #[inline(always)]
    fn lift<const STEP: usize>(value: f32, before: f32, after: f32) -> f32 {
        let factor = match STEP {
            0 => DELTA,
            1 => GAMMA,
            2 => BETA,
            _ => ALPHA,
        };
        value - factor * (before + after)
    }

    #[inline(always)]
    fn value(doubled: u32, negative: bool, step: f32) -> f32 {
        let value = doubled as f32 * (0.5 * step);
        if negative { -value } else { value }
    }

    #[inline(always)]
    fn rounded(value: f32) -> i32 {
        value.round_ties_even() as i32
    }
}

/// By how much the 9-7 filter scales a sub-band until the picture is whole: K for each low place, 1/K for
/// each high one, and K twice at each of the `further` transforms that take it for their low part.
pub(super) fn scaling(high_in: u32, further: u32) -> f32 {
    K.powi(2 - 2 * high_in as i32) * K.powi(2 * further as i32)
}

/// The values of one sub-band, row by row.
#[derive(Default)]
pub(super) struct Plane<T> {
    pub values: Vec<T>,
    pub width: usize,
    pub height: usize,
}

/// The four sub-bands of a transform; `x_odd` and `y_odd` say that the picture begins at an odd place.
pub(super) struct Quarters<T> {
    pub low_low: Plane<T>,
    pub high_low: Plane<T>,
    pub low_high: Plane<T>,
    pub high_high: Plane<T>,
    pub x_odd: bool,
    pub y_odd: bool,
}

/// Undoes one transform. Every row is handed to `keep`, which makes of it what it wants to have: the
/// values as they are, or finished samples. At least two places in each direction.
pub(super) fn inverse<F: Filter, R: Copy + Default + Send>(
    quarters: Quarters<F::Value>,
    keep: impl Fn(&[F::Value], &mut [R]) + Sync,
) -> Plane<R> {
    let Quarters {
        low_low,
        high_low,
        low_high,
        high_high,
        x_odd,
        y_odd,
    } = quarters;
    let (width, height) = (
        low_low.width + high_low.width,
        low_low.height + low_high.height,
    );
    let mut low = rows_joined::<F>(low_low, high_low, x_odd);
    let mut high = rows_joined::<F>(low_high, high_high, x_odd);
    lift_rows::<F, 0>(&mut low, &high, width, !y_odd);
    if F::PAIRS == 2 {
        lift_rows::<F, 1>(&mut high, &low, width, y_odd);
        lift_rows::<F, 2>(&mut low, &high, width, !y_odd);
    }
    // The last step goes straight into the picture.
    let mut out = vec![R::default(); width * height];
    let last = |row: usize, place: &mut [R], scratch: &mut Vec<F::Value>| {
        let at = row / 2;
        if (row % 2 == 1) == y_odd {
            keep(nth(&low, width, at), place);
            return;
        }
        let (before, after) = neighbours(at, low.len() / width, y_odd);
        let (before, after) = (nth(&low, width, before), nth(&low, width, after));
        scratch.clear();
        let all = nth(&high, width, at).iter().zip(before).zip(after);
        if F::PAIRS == 2 {
            scratch.extend(all.map(|((v, b), a)| F::lift::<3>(*v, *b, *a)));
        } else {
            scratch.extend(all.map(|((v, b), a)| F::lift::<1>(*v, *b, *a)));
        }
        keep(scratch, place);
    };
    out.par_chunks_mut(width.max(1))
        .enumerate()
        .with_min_len(16)
        .for_each_init(Vec::new, |scratch, (row, place)| last(row, place, scratch));
    Plane {
        values: out,
        width,
        height,
    }
}

fn nth<T>(rows: &[T], width: usize, at: usize) -> &[T] {
    rows.get(at * width..(at + 1) * width).unwrap_or_default()
}

/// Which of the `count` others lie before and after number `at`; over the border the nearer one counts
/// twice (F.3.7). `leads`: the first place is one of ours.
fn neighbours(at: usize, count: usize, leads: bool) -> (usize, usize) {
    let after = if leads { at } else { at + 1 };
    let last = count.saturating_sub(1);
    let before = if after == 0 { 0 } else { after - 1 };
    (before.min(last), if after > last { last } else { after })
}

/// Lifts all rows by those of the other kind.
fn lift_rows<F: Filter, const STEP: usize>(
    rows: &mut [F::Value],
    others: &[F::Value],
    width: usize,
    leads: bool,
) {
    let count = others.len() / width.max(1);
    rows.par_chunks_mut(width.max(1))
        .enumerate()
        .with_min_len(16)
        .for_each(|(at, row)| {
            let (before, after) = neighbours(at, count, leads);
            let both = nth(others, width, before)
                .iter()
                .zip(nth(others, width, after));
            for (value, (before, after)) in row.iter_mut().zip(both) {
                *value = F::lift::<STEP>(*value, *before, *after);
            }
        });
}

/// Undoes the horizontal transform of all rows of a low and a high half.
fn rows_joined<F: Filter>(
    low: Plane<F::Value>,
    high: Plane<F::Value>,
    x_odd: bool,
) -> Vec<F::Value> {
    let width = low.width + high.width;
    let mut out = vec![F::Value::default(); width * low.height];
    let (mut low_values, mut high_values) = (low.values, high.values);
    out.par_chunks_mut(width.max(1))
        .zip(low_values.par_chunks_mut(low.width.max(1)))
        .zip(high_values.par_chunks_mut(high.width.max(1)))
        .with_min_len(16)
        .for_each(|((out, low), high)| {
            Line::<F>::lift::<0>(low, high, !x_odd);
            Line::<F>::lift::<1>(high, low, x_odd);
            if F::PAIRS == 2 {
                Line::<F>::lift::<2>(low, high, !x_odd);
                Line::<F>::lift::<3>(high, low, x_odd);
            }
            if x_odd {
                interleave(high, low, out);
            } else {
                interleave(low, high, out);
            }
        });
    out
}

struct Line<F>(PhantomData<F>);

impl<F: Filter> Line<F> {
    /// Lifts the places of a line by those between them.
    #[inline(always)]
    fn lift<const STEP: usize>(line: &mut [F::Value], others: &[F::Value], leads: bool) {
        let (Some(first), Some(last)) = (others.first(), others.last()) else {
            return;
        };
        let mut rest = line;
        if leads {
            let Some((place, after)) = rest.split_first_mut() else {
                return;
            };
            *place = F::lift::<STEP>(*place, *first, *first);
            rest = after;
        }
        let between = others.len() - 1;
        let (inner, outer) = rest.split_at_mut(between.min(rest.len()));
        for (place, (before, after)) in inner.iter_mut().zip(others.iter().zip(&others[1..])) {
            *place = F::lift::<STEP>(*place, *before, *after);
        }
        for place in outer {
            *place = F::lift::<STEP>(*place, *last, *last);
        }
    }
}

/// `first` has as many places as `second` or one more.
fn interleave<T: Copy>(first: &[T], second: &[T], out: &mut [T]) {
    let (pairs, rest) = out.as_chunks_mut::<2>();
    for ([a, b], (x, y)) in pairs.iter_mut().zip(first.iter().zip(second)) {
        (*a, *b) = (*x, *y);
    }
    if let (Some(place), Some(value)) = (rest.first_mut(), first.last()) {
        *place = *value;
    }
}
