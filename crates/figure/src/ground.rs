//! What lies under the drawing: which part of the picture is film, and where on it is it dark?
//!
//! The picture is taken as it is shown, bone bright. Whatever cannot be read as PNG has no ground: the
//! drawing then takes the whole picture and knows of no dark place.

use resvg::tiny_skia::Pixmap;

/// Columns and rows of the coarse picture that darkness is asked of.
const CELLS: usize = 120;
/// Grey levels (of 255) by which a line of border pixels may vary and still be border.
const FLAT: u8 = 6;
/// What is left of width and height after the border went; less than this is no film.
const LEAST: f64 = 0.25;
/// Kept around points that lie in the border, as a share of the longer side.
const MARGIN: f64 = 0.02;

/// Left, top, right, bottom.
pub(crate) type Area = [f64; 4];

/// The brightness of a picture in coarse cells, summed so that any area is asked in four look-ups.
pub(crate) struct Ground {
    size: [f64; 2],
    /// Without the flat border, in the drawing's units.
    inner: Area,
    sums: Vec<f64>,
}

impl Ground {
    /// Looks at a PNG that fills a drawing of the given size.
    pub(crate) fn of_png(png: &[u8], size: [f64; 2]) -> Option<Ground> {
        let picture = Pixmap::decode_png(png).ok()?;
        if !size.iter().all(|s| s.is_finite() && *s > 0.0) {
            return None;
        }
        let grey = Grey {
            width: picture.width() as usize,
            height: picture.height() as usize,
            of: picture.pixels().iter().map(|p| p.green()).collect(),
        };
        let scale = [size[0] / grey.width as f64, size[1] / grey.height as f64];
        let [left, top, right, bottom] = grey.inner();
        Some(Ground {
            size,
            inner: [
                left as f64 * scale[0],
                top as f64 * scale[1],
                right as f64 * scale[0],
                bottom as f64 * scale[1],
            ],
            sums: grey.sums(),
        })
    }

    /// The film without its flat border, widened to hold every one of these points.
    pub(crate) fn area_with(&self, points: impl Iterator<Item = [f64; 2]>) -> Area {
        let mut area = self.inner;
        let margin = MARGIN * self.size[0].max(self.size[1]);
        for [x, y] in points.filter(|p| p.iter().all(|v| v.is_finite())) {
            area = [
                area[0].min(x - margin),
                area[1].min(y - margin),
                area[2].max(x + margin),
                area[3].max(y + margin),
            ];
        }
        [
            area[0].max(0.0),
            area[1].max(0.0),
            area[2].min(self.size[0]),
            area[3].min(self.size[1]),
        ]
    }

    /// Mean brightness of an area, 0 dark to 1 bright.
    pub(crate) fn brightness(&self, area: Area) -> f64 {
        let cell = |v: f64, whole: f64| {
            (v / whole * CELLS as f64).round().clamp(0.0, CELLS as f64) as usize
        };
        let (x0, y0) = (cell(area[0], self.size[0]), cell(area[1], self.size[1]));
        let (x1, y1) = (
            cell(area[2], self.size[0]).max(x0 + 1).min(CELLS),
            cell(area[3], self.size[1]).max(y0 + 1).min(CELLS),
        );
        let (x0, y0) = (x0.min(x1 - 1), y0.min(y1 - 1));
        let at = |x: usize, y: usize| self.sums[y * (CELLS + 1) + x];
        let sum = at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0);
        sum / ((x1 - x0) * (y1 - y0)) as f64
    }
}

struct Grey {
    width: usize,
    height: usize,
    of: Vec<u8>,
}

impl Grey {
    fn row(&self, y: usize) -> impl Iterator<Item = u8> + '_ {
        self.of[y * self.width..(y + 1) * self.width]
            .iter()
            .copied()
    }

    fn column(&self, x: usize) -> impl Iterator<Item = u8> + '_ {
        self.of.iter().skip(x).step_by(self.width).copied()
    }

    /// Left, top, right, bottom without the rows and columns of one grey along the edges.
    fn inner(&self) -> [usize; 4] {
        let flat = |line: &mut dyn Iterator<Item = u8>| {
            let (low, high) = line.fold((255u8, 0u8), |(l, h), v| (l.min(v), h.max(v)));
            high.saturating_sub(low) <= FLAT
        };
        let first = |n: usize, is: &dyn Fn(usize) -> bool| (0..n).find(|i| !is(*i));
        let rows = |y: usize| flat(&mut self.row(y));
        let columns = |x: usize| flat(&mut self.column(x));
        let (w, h) = (self.width, self.height);
        let whole = [0, 0, w, h];
        let (Some(top), Some(left)) = (first(h, &rows), first(w, &columns)) else {
            return whole;
        };
        let bottom = h - first(h, &|i| rows(h - 1 - i)).unwrap_or(0);
        let right = w - first(w, &|i| columns(w - 1 - i)).unwrap_or(0);
        let enough = |from: usize, to: usize, all: usize| {
            to > from && (to - from) as f64 >= LEAST * all as f64
        };
        if enough(left, right, w) && enough(top, bottom, h) {
            [left, top, right, bottom]
        } else {
            whole
        }
    }

    fn sums(&self) -> Vec<f64> {
        let mut total = vec![0.0; CELLS * CELLS];
        let mut count = vec![0u32; CELLS * CELLS];
        for (i, v) in self.of.iter().enumerate() {
            let (x, y) = (i % self.width, i / self.width);
            let at = (y * CELLS / self.height) * CELLS + x * CELLS / self.width;
            total[at] += f64::from(*v) / 255.0;
            count[at] += 1;
        }
        let mut sums = vec![0.0; (CELLS + 1) * (CELLS + 1)];
        for y in 0..CELLS {
            for x in 0..CELLS {
                let i = y * CELLS + x;
                let mean = if count[i] == 0 {
                    0.0
                } else {
                    total[i] / f64::from(count[i])
                };
                let w = CELLS + 1;
                sums[(y + 1) * w + x + 1] =
                    mean + sums[y * w + x + 1] + sums[(y + 1) * w + x] - sums[y * w + x];
            }
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use resvg::tiny_skia::{Color, Paint, Rect, Transform};

    /// A black border of 40 and 20 pixels around a grey film with a bright right half.
    fn film() -> Vec<u8> {
        let mut map = Pixmap::new(400, 200).unwrap();
        map.fill(Color::BLACK);
        let mut rect = |x: f32, w: f32, level: u8| {
            let mut paint = Paint::default();
            paint.set_color_rgba8(level, level, level, 255);
            let rect = Rect::from_xywh(x, 20.0, w, 160.0).unwrap();
            map.fill_rect(rect, &paint, Transform::identity(), None);
        };
        rect(40.0, 160.0, 30);
        rect(200.0, 160.0, 220);
        map.encode_png().unwrap()
    }

    #[test]
    fn the_black_border_of_a_film_is_told_from_the_film() {
        let ground = Ground::of_png(&film(), [800.0, 400.0]).unwrap();
        assert_eq!(ground.area_with([].into_iter()), [80.0, 40.0, 720.0, 360.0]);
    }

    #[test]
    fn a_point_in_the_border_is_never_cut_away() {
        let ground = Ground::of_png(&film(), [800.0, 400.0]).unwrap();
        let area = ground.area_with([[30.0, 200.0], [f64::NAN, 1.0]].into_iter());
        assert_eq!(area, [14.0, 40.0, 720.0, 360.0]);
    }

    #[test]
    fn a_bright_half_is_brighter_than_a_dark_one() {
        let ground = Ground::of_png(&film(), [800.0, 400.0]).unwrap();
        let dark = ground.brightness([100.0, 100.0, 300.0, 300.0]);
        let bright = ground.brightness([500.0, 100.0, 700.0, 300.0]);
        assert!((dark - 30.0 / 255.0).abs() < 0.01, "{dark}");
        assert!((bright - 220.0 / 255.0).abs() < 0.01, "{bright}");
    }

    #[test]
    fn a_picture_of_one_grey_is_kept_whole() {
        let mut map = Pixmap::new(50, 40).unwrap();
        map.fill(Color::BLACK);
        let ground = Ground::of_png(&map.encode_png().unwrap(), [50.0, 40.0]).unwrap();
        assert_eq!(ground.area_with([].into_iter()), [0.0, 0.0, 50.0, 40.0]);
        assert!(Ground::of_png(b"no picture", [50.0, 40.0]).is_none());
    }
}
