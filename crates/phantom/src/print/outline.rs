//! Borders and measures of an outline, by formula.

use super::PrintSpec;

/// What is true of a print.
///
/// # Units
/// Millimetres, square millimetres, degrees; indices as their names say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintTruth {
    pub arch_index: f64,
    /// Percent.
    pub chippaux_smirak: f64,
    pub staheli_index: f64,
    pub clarke_angle_deg: f64,
    pub truncated_length: f64,
    pub foot_length: f64,
    pub ball_width: f64,
    pub heel_width: f64,
    pub midfoot_width: f64,
    /// With toes.
    pub area: f64,
    pub toeless_area: f64,
}

#[derive(Debug, Clone, Copy)]
struct Disc {
    x: f64,
    y: f64,
    r: f64,
}

/// Where two discs are touched by a line that has both on its right or both on its left.
fn common_tangent(a: Disc, b: Disc, left: bool) -> [[f64; 2]; 2] {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let d = dx.hypot(dy);
    let sign = if left { 1.0 } else { -1.0 };
    // The unit normal n with n·(b − a) = a.r − b.r.
    let along = (a.r - b.r) / d;
    let across = sign * (1.0 - along * along).max(0.0).sqrt();
    let (ux, uy) = (dx / d, dy / d);
    let n = [along * ux - across * uy, along * uy + across * ux];
    [a, b].map(|c| [c.x + c.r * n[0], c.y + c.r * n[1]])
}

/// The outline, ready to be asked.
#[derive(Debug, Clone, Copy)]
pub struct PrintOutline {
    heel: Disc,
    inner: Disc,
    outer: Disc,
    /// Heel end, ball end of the inner tangent.
    tangent: [[f64; 2]; 2],
    outer_tangent: [[f64; 2]; 2],
    front_tangent: [[f64; 2]; 2],
    notch: Disc,
    toes: [Disc; 5],
}

impl PrintOutline {
    pub fn new(spec: &PrintSpec) -> PrintOutline {
        let heel = Disc {
            x: spec.heel_radius,
            y: 0.0,
            r: spec.heel_radius,
        };
        let ball = |c: [f64; 2]| Disc {
            x: c[0],
            y: c[1],
            r: spec.ball_radius,
        };
        let (inner, outer) = (ball(spec.inner_ball), ball(spec.outer_ball));
        let tangent = common_tangent(heel, inner, true);
        let [[ax, ay], [bx, by]] = tangent;
        let chord = (bx - ax).hypot(by - ay);
        let depth = spec.arch_depth;
        let r = (chord * chord / 4.0 + depth * depth) / (2.0 * depth);
        let (ux, uy) = ((bx - ax) / chord, (by - ay) / chord);
        // The notch's centre lies inwards of the tangent's middle.
        let out = r - depth;
        let notch = Disc {
            x: 0.5 * (ax + bx) - uy * out,
            y: 0.5 * (ay + by) + ux * out,
            r,
        };
        let mut outline = PrintOutline {
            heel,
            inner,
            outer,
            tangent,
            outer_tangent: common_tangent(heel, outer, false),
            front_tangent: common_tangent(outer, inner, false),
            notch,
            toes: [heel; 5],
        };
        for k in 0..5 {
            let (y, r) = (spec.toe_across[k], spec.toe_radii[k]);
            // Forwards until the gap to the ball's capsule is as asked.
            let wanted = r + spec.toe_gap + spec.ball_radius;
            let (mut low, mut high) = (inner.x.max(outer.x), inner.x + 20.0 * spec.ball_radius);
            for _ in 0..60 {
                let x = 0.5 * (low + high);
                if outline.off_ball_axis(x, y) < wanted {
                    low = x;
                } else {
                    high = x;
                }
            }
            outline.toes[k] = Disc { x: low, y, r };
        }
        outline
    }

    /// Distance to the segment between the ball's two centres.
    fn off_ball_axis(&self, x: f64, y: f64) -> f64 {
        let (a, b) = (self.inner, self.outer);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let t = ((x - a.x) * dx + (y - a.y) * dy) / (dx * dx + dy * dy);
        let t = t.clamp(0.0, 1.0);
        (x - a.x - t * dx).hypot(y - a.y - t * dy)
    }

    /// Is this point printed?
    pub fn holds(&self, x: f64, y: f64) -> bool {
        let within = |d: &Disc| (x - d.x).hypot(y - d.y) <= d.r;
        if self.toes.iter().any(within) {
            return true;
        }
        // Below the tangent the notch's disc is the arch's segment and nothing else.
        let hull = self.borders(x);
        hull.is_some_and(|(low, high)| y >= low && y <= high) && !within(&self.notch)
    }

    /// Outer and inner border of the hull of the three discs at a place along the foot.
    fn borders(&self, x: f64) -> Option<(f64, f64)> {
        let on_disc = |d: Disc, sign: f64| {
            let h = d.r * d.r - (x - d.x).powi(2);
            (h >= 0.0).then(|| d.y + sign * h.sqrt())
        };
        let on_line = |t: [[f64; 2]; 2]| {
            let (low, high) = (t[0][0].min(t[1][0]), t[0][0].max(t[1][0]));
            (x >= low && x <= high)
                .then(|| t[0][1] + (t[1][1] - t[0][1]) * (x - t[0][0]) / (t[1][0] - t[0][0]))
        };
        let most = [
            on_disc(self.heel, 1.0),
            on_disc(self.inner, 1.0),
            on_disc(self.outer, 1.0),
            on_line(self.tangent),
            on_line(self.front_tangent),
        ];
        let least = [
            on_disc(self.heel, -1.0),
            on_disc(self.inner, -1.0),
            on_disc(self.outer, -1.0),
            on_line(self.outer_tangent),
            on_line(self.front_tangent),
        ];
        let high = most.into_iter().flatten().fold(f64::NEG_INFINITY, f64::max);
        let low = least.into_iter().flatten().fold(f64::INFINITY, f64::min);
        (low <= high).then_some((low, high))
    }

    /// Inner border with the arch cut out.
    fn inner_border(&self, x: f64) -> Option<f64> {
        let (_, high) = self.borders(x)?;
        if x <= self.tangent[0][0] || x >= self.tangent[1][0] {
            return Some(high);
        }
        let n = self.notch;
        Some(n.y - (n.r * n.r - (x - n.x).powi(2)).max(0.0).sqrt())
    }

    /// Breadth of the toeless print across the axis.
    pub fn width(&self, x: f64) -> f64 {
        match (self.borders(x), self.inner_border(x)) {
            (Some((low, _)), Some(high)) => (high - low).max(0.0),
            _ => 0.0,
        }
    }

    /// Where the borders change from one formula to another.
    fn breaks(&self) -> Vec<f64> {
        let lines = [self.tangent, self.outer_tangent, self.front_tangent];
        let mut all: Vec<f64> = lines.iter().flatten().map(|p| p[0]).collect();
        all.extend([0.0, self.front(), self.heel.x, self.inner.x, self.outer.x]);
        all.sort_by(f64::total_cmp);
        all
    }

    fn front(&self) -> f64 {
        (self.inner.x + self.inner.r).max(self.outer.x + self.outer.r)
    }

    /// Area under the breadth between two neighbouring breaks.
    fn integral(&self, from: f64, to: f64) -> f64 {
        let mid = 0.5 * (from + to);
        let half = 0.5 * (to - from);
        let mut sum = 0.0;
        // x = mid + half · sin(φ) takes the root out of an arc's end; what is left is smooth.
        const N: usize = 800;
        for k in 0..N {
            let angle = std::f64::consts::PI * ((k as f64 + 0.5) / N as f64 - 0.5);
            let weight = std::f64::consts::PI / N as f64 * angle.cos() * half;
            sum += weight * self.width(mid + half * angle.sin());
        }
        sum
    }

    fn area_between(&self, from: f64, to: f64) -> f64 {
        let mut at = vec![from, to];
        at.extend(self.breaks().into_iter().filter(|x| *x > from && *x < to));
        at.sort_by(f64::total_cmp);
        at.windows(2).map(|w| self.integral(w[0], w[1])).sum()
    }

    /// The greatest or least breadth between two places: of a smooth piece by golden section.
    fn extreme(&self, from: f64, to: f64, greatest: bool) -> f64 {
        let sign = if greatest { 1.0 } else { -1.0 };
        let mut at = vec![from, to];
        at.extend(self.breaks().into_iter().filter(|x| *x > from && *x < to));
        at.sort_by(f64::total_cmp);
        let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
        let mut best = f64::NEG_INFINITY;
        for w in at.windows(2) {
            let (mut a, mut b) = (w[0], w[1]);
            for _ in 0..80 {
                let (c, d) = (b - golden * (b - a), a + golden * (b - a));
                if sign * self.width(c) > sign * self.width(d) {
                    b = d;
                } else {
                    a = c;
                }
            }
            for x in [w[0], w[1], 0.5 * (a + b)] {
                best = best.max(sign * self.width(x));
            }
        }
        sign * best
    }

    /// Hull of the three discs by its corners and arcs, less the notch's segment: in closed form.
    pub fn toeless_area(&self) -> f64 {
        let [a, b] = self.tangent;
        let [c, d] = self.outer_tangent;
        let [e, f] = self.front_tangent;
        // Anticlockwise: heel's outer end, outer ball, front, inner ball, back to the heel's inner end.
        let corners = [c, d, e, f, b, a];
        let polygon: f64 = (0..6)
            .map(|k| {
                let (p, q) = (corners[k], corners[(k + 1) % 6]);
                0.5 * (p[0] * q[1] - p[1] * q[0])
            })
            .sum();
        let arc = |disc: Disc, from: [f64; 2], to: [f64; 2]| {
            let angle = |p: [f64; 2]| (p[1] - disc.y).atan2(p[0] - disc.x);
            let turn = (angle(to) - angle(from)).rem_euclid(std::f64::consts::TAU);
            0.5 * disc.r * disc.r * (turn - turn.sin())
        };
        let arcs = arc(self.outer, d, e) + arc(self.inner, f, b) + arc(self.heel, a, c);
        let half = (0.5 * (b[0] - a[0]).hypot(b[1] - a[1]) / self.notch.r).asin();
        let segment = 0.5 * self.notch.r * self.notch.r * (2.0 * half - (2.0 * half).sin());
        polygon + arcs - segment
    }

    /// Heel end and ball end of the inner tangent.
    pub fn ends(&self) -> [[f64; 2]; 2] {
        self.tangent
    }

    pub fn truth(&self) -> PrintTruth {
        let length = self.front();
        let toeless_area = self.toeless_area();
        let midfoot_width = self.extreme(length / 3.0, 2.0 * length / 3.0, false);
        let ball_width = self.extreme(2.0 * length / 3.0, length, true);
        let heel_width = self.extreme(0.0, length / 4.0, true);
        let [a, b] = self.tangent;
        let chord = (b[0] - a[0]).hypot(b[1] - a[1]);
        let n = self.notch;
        let depth = n.r - (n.r * n.r - chord * chord / 4.0).sqrt();
        let toes = self.toes.iter();
        PrintTruth {
            arch_index: self.area_between(length / 3.0, 2.0 * length / 3.0) / toeless_area,
            chippaux_smirak: 100.0 * midfoot_width / ball_width,
            staheli_index: midfoot_width / heel_width,
            clarke_angle_deg: depth.atan2(0.5 * chord).to_degrees(),
            truncated_length: length,
            foot_length: toes.clone().map(|t| t.x + t.r).fold(length, f64::max),
            ball_width,
            heel_width,
            midfoot_width,
            area: toeless_area + toes.map(|t| std::f64::consts::PI * t.r * t.r).sum::<f64>(),
            toeless_area,
        }
    }

    /// The rectangle around everything: least and greatest x and y.
    pub fn bounds(&self) -> [f64; 4] {
        let discs = self
            .toes
            .iter()
            .chain([&self.heel, &self.inner, &self.outer]);
        discs.fold(
            [
                f64::INFINITY,
                f64::NEG_INFINITY,
                f64::INFINITY,
                f64::NEG_INFINITY,
            ],
            |b, d| {
                [
                    b[0].min(d.x - d.r),
                    b[1].max(d.x + d.r),
                    b[2].min(d.y - d.r),
                    b[3].max(d.y + d.r),
                ]
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use terms::Side;

    #[test]
    fn the_area_by_corners_and_arcs_is_the_area_by_breadths() {
        for seed in 0..40 {
            let outline = PrintOutline::new(&PrintSpec::random(seed));
            let by_breadth = outline.area_between(0.0, outline.front());
            let miss = (by_breadth / outline.toeless_area() - 1.0).abs();
            assert!(miss < 2e-6, "seed {seed}: {miss}");
        }
    }

    #[test]
    fn the_outline_is_where_its_breadth_says() {
        let outline = PrintOutline::new(&PrintSpec::plain(Side::Right));
        let front = outline.front();
        for k in 1..60 {
            let x = front * f64::from(k) / 60.0;
            let printed = (-700..700)
                .filter(|j| outline.holds(x, f64::from(*j) * 0.1))
                .count();
            let miss = (printed as f64 * 0.1 - outline.width(x)).abs();
            let toes = outline.toes.iter().any(|t| (x - t.x).abs() < t.r);
            assert!(miss < 0.25 || toes, "{x}: {miss}");
        }
    }

    #[test]
    fn a_deeper_arch_has_a_lower_arch_index_and_a_larger_clarke_angle() {
        let at = |arch_depth| {
            let spec = PrintSpec {
                arch_depth,
                ..PrintSpec::plain(Side::Left)
            };
            PrintOutline::new(&spec).truth()
        };
        let (flat, high) = (at(8.0), at(38.0));
        // The notch takes more of the middle third than of the rest.
        assert!(
            flat.arch_index - high.arch_index > 0.08,
            "{flat:?} {high:?}"
        );
        assert!(flat.clarke_angle_deg < 15.0 && high.clarke_angle_deg > 28.0);
        assert!((flat.truncated_length - 178.0).abs() < 1e-9);
    }
}
