//! An outline on a grid: as ink on paper, as a photograph at a tilt, as a pressure grid.

use super::{PrintOutline, PrintSpec};
use crate::skin::Skin;
use crate::skin::build::Dice;
use terms::Side;

/// What happens between the foot and the grid.
///
/// # Units
/// Millimetres on the paper (x right, y down, zero at its upper left corner); values 0 to 255.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSpec {
    pub width_mm: f64,
    pub height_mm: f64,
    pub mm_per_cell: f64,
    /// Cells of table to be seen around the paper.
    pub around_cells: usize,
    /// Perspective: how much nearer the far side looks, each a share over the paper's whole side.
    pub tilt: [f64; 2],
    pub ground: f64,
    pub print: f64,
    pub noise: f64,
    /// Specks beside the foot, and gaps within it.
    pub blotches: usize,
    pub gaps: usize,
    /// The sole as seen from below: the mirror image.
    pub from_below: bool,
    pub seed: u64,
}

impl Default for PaperSpec {
    /// A clean ink print on A4 at a fifth of a millimetre.
    fn default() -> PaperSpec {
        PaperSpec {
            width_mm: 210.0,
            height_mm: 297.0,
            mm_per_cell: 0.2,
            around_cells: 0,
            tilt: [0.0, 0.0],
            ground: 235.0,
            print: 40.0,
            noise: 0.0,
            blotches: 0,
            gaps: 0,
            from_below: false,
            seed: 1,
        }
    }
}

/// A print on a grid, rows from the top.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintSheet {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
    /// Where the paper's corners lie, in cells.
    pub corners: [[f64; 2]; 4],
    pub mm_per_cell: f64,
}

impl PrintSheet {
    /// Red, green and blue bytes of a grey picture.
    pub fn rgb(&self) -> Vec<u8> {
        self.values
            .iter()
            .flat_map(|v| [v.round().clamp(0.0, 255.0) as u8; 3])
            .collect()
    }
}

/// Where a print lies on the paper: the heel's rearmost point, and how far the toes are turned from straight up,
/// clockwise.
#[derive(Debug, Clone, Copy)]
struct Placed {
    outline: PrintOutline,
    heel: [f64; 2],
    sin: f64,
    cos: f64,
    /// 1 where the inner side lies to the left of a foot that points up.
    inner_left: f64,
    reach: f64,
}

impl Placed {
    fn new(spec: &PrintSpec, heel: [f64; 2], turn_deg: f64, from_below: bool) -> Placed {
        let (sin, cos) = turn_deg.to_radians().sin_cos();
        let outline = PrintOutline::new(spec);
        let b = outline.bounds();
        Placed {
            outline,
            heel,
            sin,
            cos,
            inner_left: if (spec.side == Side::Right) != from_below {
                1.0
            } else {
                -1.0
            },
            reach: b[1].hypot(b[3].max(-b[2])),
        }
    }

    fn holds(&self, x: f64, y: f64) -> bool {
        let (dx, dy) = (x - self.heel[0], y - self.heel[1]);
        if dx.abs().max(dy.abs()) > self.reach {
            return false;
        }
        // Up on the paper is forwards; to its left is inwards for a right foot seen from above.
        let along = dx * self.sin - dy * self.cos;
        let left = -(dx * self.cos + dy * self.sin);
        self.outline.holds(along, left * self.inner_left)
    }
}

/// Prints on one paper, each with its heel's rearmost point and its turn.
pub fn sheet(prints: &[(PrintSpec, [f64; 2], f64)], paper: &PaperSpec) -> PrintSheet {
    let placed: Vec<Placed> = prints
        .iter()
        .map(|(spec, heel, turn)| Placed::new(spec, *heel, *turn, paper.from_below))
        .collect();
    let around = paper.around_cells as f64;
    let pitch = paper.mm_per_cell;
    let [p, q] = [
        paper.tilt[0] / paper.width_mm,
        paper.tilt[1] / paper.height_mm,
    ];
    let cell = |x: f64, y: f64| {
        let w = 1.0 + p * x + q * y;
        [x / pitch / w + around - 0.5, y / pitch / w + around - 0.5]
    };
    let on_paper = |cx: f64, cy: f64| {
        let (x, y) = ((cx + 0.5 - around) * pitch, (cy + 0.5 - around) * pitch);
        let w = 1.0 / (1.0 - p * x - q * y);
        (x * w, y * w)
    };
    let corners = [
        cell(0.0, 0.0),
        cell(paper.width_mm, 0.0),
        cell(paper.width_mm, paper.height_mm),
        cell(0.0, paper.height_mm),
    ];
    let most = |k: usize| corners.iter().map(|c| c[k]).fold(0.0, f64::max);
    let (width, height) = (
        (most(0) + 0.5 + around) as usize,
        (most(1) + 0.5 + around) as usize,
    );
    let mut dice = Dice::new(paper.seed);
    let specks = spots(&placed, paper, &mut dice);
    let printed = |x: f64, y: f64| {
        let mut on = placed.iter().any(|f| f.holds(x, y));
        for s in &specks {
            if (x - s.x).hypot(y - s.y) < s.r {
                on = s.printed;
            }
        }
        on
    };
    let is_paper =
        |x: f64, y: f64| x >= 0.0 && y >= 0.0 && x <= paper.width_mm && y <= paper.height_mm;
    // Cells whose corners agree are whole; of the others a share is printed.
    let mut at_corner = vec![false; (width + 1) * (height + 1)];
    for (i, corner) in at_corner.iter_mut().enumerate() {
        let (x, y) = on_paper(
            (i % (width + 1)) as f64 - 0.5,
            (i / (width + 1)) as f64 - 0.5,
        );
        *corner = printed(x, y);
    }
    const FINE: usize = 8;
    let mut values = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let at = y * (width + 1) + x;
            let corners = [at, at + 1, at + width + 1, at + width + 2].map(|i| at_corner[i]);
            let cover = if corners.iter().all(|c| *c == corners[0]) {
                f64::from(u8::from(corners[0]))
            } else {
                let mut count = 0;
                for k in 0..FINE * FINE {
                    let off = |j: usize| (j as f64 + 0.5) / FINE as f64 - 0.5;
                    let (px, py) = on_paper(x as f64 + off(k % FINE), y as f64 + off(k / FINE));
                    count += usize::from(printed(px, py));
                }
                count as f64 / (FINE * FINE) as f64
            };
            let (px, py) = on_paper(x as f64, y as f64);
            let mut value = paper.ground + cover * (paper.print - paper.ground);
            if !is_paper(px, py) {
                // A wooden table: darker than paper, brighter than ink.
                value = 0.45 * paper.ground + 0.2 * paper.print;
            }
            if paper.noise > 0.0 {
                value += paper.noise * dice.normal();
            }
            values.push(value as f32);
        }
    }
    PrintSheet {
        width,
        height,
        values,
        corners,
        mm_per_cell: pitch,
    }
}

struct Speck {
    x: f64,
    y: f64,
    r: f64,
    printed: bool,
}

/// Specks well off every print, gaps well within one.
fn spots(placed: &[Placed], paper: &PaperSpec, dice: &mut Dice) -> Vec<Speck> {
    let mut out: Vec<Speck> = Vec::new();
    let printed = |x: f64, y: f64| placed.iter().any(|f| f.holds(x, y));
    for (count, inside) in [(paper.blotches, false), (paper.gaps, true)] {
        let mut made = 0;
        for _ in 0..count * 400 {
            if made == count {
                break;
            }
            let x = dice.between(12.0, paper.width_mm - 12.0);
            let y = dice.between(12.0, paper.height_mm - 12.0);
            let r = dice.between(0.4, 1.4);
            let free = (0..24).all(|k| {
                let a = f64::from(k % 12) * std::f64::consts::TAU / 12.0;
                let reach = if k < 12 { r + 3.0 } else { r + 1.0 };
                printed(x + reach * a.cos(), y + reach * a.sin()) == inside
            });
            let apart = out.iter().all(|s| (s.x - x).hypot(s.y - y) > s.r + r + 2.0);
            if free && apart && printed(x, y) == inside {
                out.push(Speck {
                    x,
                    y,
                    r,
                    printed: !inside,
                });
                made += 1;
            }
        }
    }
    out
}

/// A walk over a pressure grid: each frame a rounded load that moves from heel to great toe along `path` (places in
/// the outline's frame, mm), on the sensors that the print covers by more than half.
pub fn load_series(
    spec: &PrintSpec,
    heel: [f64; 2],
    paper: &PaperSpec,
    path: &[[f64; 2]],
    peak_kpa: f64,
    reach_mm: f64,
) -> (PrintSheet, Vec<Vec<f32>>) {
    let clean = PaperSpec {
        ground: 0.0,
        print: 1.0,
        noise: 0.0,
        blotches: 0,
        gaps: 0,
        ..paper.clone()
    };
    let cover = sheet(&[(*spec, heel, 0.0)], &clean);
    let inwards = if (spec.side == Side::Right) != paper.from_below {
        -1.0
    } else {
        1.0
    };
    let frames = path
        .iter()
        .map(|[along, inner]| {
            let centre = [heel[0] + inwards * inner, heel[1] - along];
            let cells = cover.values.iter().enumerate();
            cells
                .map(|(i, share)| {
                    if *share <= 0.5 {
                        return 0.0;
                    }
                    let x = ((i % cover.width) as f64 + 0.5) * paper.mm_per_cell;
                    let y = ((i / cover.width) as f64 + 0.5) * paper.mm_per_cell;
                    let d =
                        ((x - centre[0]).powi(2) + (y - centre[1]).powi(2)) / (reach_mm * reach_mm);
                    (peak_kpa * (-0.5 * d).exp()) as f32
                })
                .collect()
        })
        .collect();
    (cover, frames)
}

/// The print of a standing skin, toes up, seen from above: what lies within `depth_mm` of the floor.
pub fn standing(skin: &Skin, depth_mm: f64, paper: &PaperSpec) -> PrintSheet {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for v in skin.mesh.vertices.iter().filter(|v| v[1] < 25.0) {
        for (k, c) in [v[0], v[2]].into_iter().enumerate() {
            low[k] = low[k].min(c);
            high[k] = high[k].max(c);
        }
    }
    let middle = [0, 1].map(|k| 0.5 * (low[k] + high[k]));
    let pitch = paper.mm_per_cell;
    let (width, height) = (
        (paper.width_mm / pitch) as usize,
        (paper.height_mm / pitch) as usize,
    );
    let mut dice = Dice::new(paper.seed);
    let mut values = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let right = (x as f64 + 0.5) * pitch - 0.5 * paper.width_mm;
            let forward = 0.5 * paper.height_mm - (y as f64 + 0.5) * pitch;
            let right = if paper.from_below { -right } else { right };
            let at = [middle[0] + forward, depth_mm, middle[1] + right];
            let inside = at[0] > low[0] - 3.0
                && at[0] < high[0] + 3.0
                && at[2] > low[1] - 3.0
                && at[2] < high[1] + 3.0;
            // A sole meets the floor at a flat angle: the border is as soft as the flesh.
            let cover = match inside {
                true => (0.5 - skin.distance_mm(at) / pitch).clamp(0.0, 1.0),
                false => 0.0,
            };
            let noise = if paper.noise > 0.0 {
                paper.noise * dice.normal()
            } else {
                0.0
            };
            values.push((paper.ground + cover * (paper.print - paper.ground) + noise) as f32);
        }
    }
    PrintSheet {
        width,
        height,
        values,
        corners: [
            [-0.5, -0.5],
            [width as f64 - 0.5, -0.5],
            [width as f64 - 0.5, height as f64 - 0.5],
            [-0.5, height as f64 - 0.5],
        ],
        mm_per_cell: pitch,
    }
}
