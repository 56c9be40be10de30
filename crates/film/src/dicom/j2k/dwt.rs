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
///
/// Columns stay apart by kind, as rows do, until a row is finished: a vertical step does not care in which
/// order they stand.
pub(super) fn inverse<F: Filter, R: Copy + Default + Send>(
    mut quarters: Quarters<F::Value>,
    keep: impl Fn(&[F::Value], &mut [R]) + Sync,
) -> Plane<R> {
    let Quarters { x_odd, y_odd, .. } = quarters;
    let (width, height) = (
        quarters.low_low.width + quarters.high_low.width,
        quarters.low_low.height + quarters.low_high.height,
    );
    lift_along::<F>(&mut quarters.low_low, &mut quarters.high_low, x_odd);
    lift_along::<F>(&mut quarters.low_high, &mut quarters.high_high, x_odd);
    let left = lift_across::<F>(quarters.low_low, quarters.low_high, y_odd);
    let right = lift_across::<F>(quarters.high_low, quarters.high_high, y_odd);
    // The last step goes straight into the picture.
    let mut out = vec![R::default(); width * height];
    let finish = |row: usize, place: &mut [R], scratch: &mut [Vec<F::Value>; 3]| {
        let [whole, from_left, from_right] = scratch;
        let left = left.row::<F>(row, from_left);
        let right = right.row::<F>(row, from_right);
        whole.resize(width, F::Value::default());
        if x_odd {
            interleave(right, left, whole);
        } else {
            interleave(left, right, whole);
        }
        keep(whole, place);
    };
    out.par_chunks_mut(width.max(1))
        .enumerate()
        .with_min_len(16)
        .for_each_init(Default::default, |scratch, (row, place)| {
            finish(row, place, scratch);
        });
    Plane {
        values: out,
        width,
        height,
    }
}

/// Half the columns, lifted but for the last step of the high rows.
struct Half<T> {
    low: Plane<T>,
    high: Plane<T>,
    y_odd: bool,
}

impl<T: Copy> Half<T> {
    /// A finished row; `scratch` is where one is made that is not there.
    fn row<'a, F: Filter<Value = T>>(&'a self, row: usize, scratch: &'a mut Vec<T>) -> &'a [T] {
        let (at, width) = (row / 2, self.low.width);
        if (row % 2 == 1) == self.y_odd {
            return nth(&self.low.values, width, at);
        }
        let (before, after) = neighbours(at, self.low.height, self.y_odd);
        let before = nth(&self.low.values, width, before);
        let after = nth(&self.low.values, width, after);
        let all = nth(&self.high.values, width, at)
            .iter()
            .zip(before)
            .zip(after);
        scratch.clear();
        if F::PAIRS == 2 {
            scratch.extend(all.map(|((v, b), a)| F::lift::<3>(*v, *b, *a)));
        } else {
            scratch.extend(all.map(|((v, b), a)| F::lift::<1>(*v, *b, *a)));
        }
        scratch
    }
}

/// The vertical steps of half the columns, but for the last.
fn lift_across<F: Filter>(
    mut low: Plane<F::Value>,
    mut high: Plane<F::Value>,
    y_odd: bool,
) -> Half<F::Value> {
    lift_rows::<F, 0>(&mut low, &high, !y_odd);
    if F::PAIRS == 2 {
        lift_rows::<F, 1>(&mut high, &low, y_odd);
        lift_rows::<F, 2>(&mut low, &high, !y_odd);
    }
    Half { low, high, y_odd }
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
    rows: &mut Plane<F::Value>,
    others: &Plane<F::Value>,
    leads: bool,
) {
    let width = rows.width;
    rows.values
        .par_chunks_mut(width.max(1))
        .enumerate()
        .with_min_len(16)
        .for_each(|(at, row)| {
            let (before, after) = neighbours(at, others.height, leads);
            let before = nth(&others.values, width, before);
            let both = before.iter().zip(nth(&others.values, width, after));
            for (value, (before, after)) in row.iter_mut().zip(both) {
                *value = F::lift::<STEP>(*value, *before, *after);
            }
        });
}

/// The horizontal steps of all rows of a low and a high half.
fn lift_along<F: Filter>(low: &mut Plane<F::Value>, high: &mut Plane<F::Value>, x_odd: bool) {
    low.values
        .par_chunks_mut(low.width.max(1))
        .zip(high.values.par_chunks_mut(high.width.max(1)))
        .with_min_len(16)
        .for_each(|(low, high)| {
            Line::<F>::lift::<0>(low, high, !x_odd);
            Line::<F>::lift::<1>(high, low, x_odd);
            if F::PAIRS == 2 {
                Line::<F>::lift::<2>(low, high, !x_odd);
                Line::<F>::lift::<3>(high, low, x_odd);
            }
        });
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
