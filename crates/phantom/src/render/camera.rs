//! Where does a point of the world fall on the film?
//!
//! A point source and a flat detector, seen from the tube: x runs to the right and y down, as the film is
//! stored. The central ray meets the aim point; the detector may stand oblique to it (dorsoplantar view).

use std::ops::{Add, Mul, Sub};
use terms::{Side, View};

/// A small vector of the world frame, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct V(pub [f64; 3]);

impl V {
    pub fn dot(self, other: V) -> f64 {
        self.0[0] * other.0[0] + self.0[1] * other.0[1] + self.0[2] * other.0[2]
    }
    pub fn cross(self, o: V) -> V {
        let (a, b) = (self.0, o.0);
        V([
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ])
    }
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }
    /// Turned about the upright axis through `centre`; + carries x (forward) towards −z.
    pub fn turned_about_upright(self, angle_rad: f64, centre: V) -> V {
        let d = self - centre;
        let (s, c) = angle_rad.sin_cos();
        centre + V([c * d.0[0] + s * d.0[2], d.0[1], -s * d.0[0] + c * d.0[2]])
    }
}

impl Add for V {
    type Output = V;
    fn add(self, o: V) -> V {
        V([self.0[0] + o.0[0], self.0[1] + o.0[1], self.0[2] + o.0[2]])
    }
}
impl Sub for V {
    type Output = V;
    fn sub(self, o: V) -> V {
        V([self.0[0] - o.0[0], self.0[1] - o.0[1], self.0[2] - o.0[2]])
    }
}
impl Mul<f64> for V {
    type Output = V;
    fn mul(self, k: f64) -> V {
        V(self.0.map(|a| a * k))
    }
}

/// The beam of one view of one side, before the detector is placed across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    /// Unit vectors: the central ray, then the film's columns' direction, its rows' direction and its
    /// normal away from the tube. `columns × rows = normal`, so the picture is never mirrored.
    pub ray: V,
    pub columns: V,
    pub rows: V,
    pub normal: V,
}

impl Beam {
    /// The beam by which a view is taken.
    ///
    /// # Units
    /// `angle_deg`: dorsoplantar, from upright towards the heel; else, downwards from level.
    ///
    /// # Assumptions
    /// Lateral: the tube stands on the outer side and the detector on the inner. Dorsoplantar: the
    /// detector lies on the floor. Hindfoot and ankle: the detector is square to the beam.
    ///
    /// # Sources
    /// Common practice.
    pub fn of(view: View, side: Side, angle_deg: f64) -> Beam {
        let (s, c) = angle_deg.to_radians().sin_cos();
        // A right foot has its outer side at +z.
        let out = if side == Side::Right { 1.0 } else { -1.0 };
        match view {
            View::Lateral => {
                let ray = V([0.0, -s, -out * c]);
                Beam {
                    ray,
                    columns: V([out, 0.0, 0.0]),
                    rows: V([0.0, -c, out * s]),
                    normal: ray,
                }
            }
            View::Dorsoplantar => Beam {
                ray: V([-s, -c, 0.0]),
                columns: V([0.0, 0.0, 1.0]),
                rows: V([-1.0, 0.0, 0.0]),
                normal: V([0.0, -1.0, 0.0]),
            },
            View::HindfootAlignment => {
                let ray = V([c, -s, 0.0]);
                Beam {
                    ray,
                    columns: V([0.0, 0.0, 1.0]),
                    rows: V([-s, -c, 0.0]),
                    normal: ray,
                }
            }
            View::AnkleFront => {
                let ray = V([-c, -s, 0.0]);
                Beam {
                    ray,
                    columns: V([0.0, 0.0, -1.0]),
                    rows: V([s, -c, 0.0]),
                    normal: ray,
                }
            }
        }
    }
}

/// A point source and a flat detector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    pub(crate) source: V,
    /// Centre of the first pixel.
    pub(crate) first_pixel: V,
    pub(crate) columns: V,
    pub(crate) rows: V,
    pub(crate) normal: V,
    /// Source to detector along the detector's normal, mm.
    pub(crate) distance_mm: f64,
    pub pixel_mm: f64,
    pub width: usize,
    pub height: usize,
}

/// What a camera is set up from.
#[derive(Debug, Clone, Copy)]
pub struct Setup {
    pub beam: Beam,
    /// The point of the world that the central ray meets.
    pub aim: [f64; 3],
    /// Along the central ray, mm.
    pub source_to_detector_mm: f64,
    pub object_to_detector_mm: f64,
    /// + = the foot's toes turned to its outer side; done by turning tube and detector the other way.
    pub foot_rotation_deg: f64,
    pub side: Side,
    pub pixel_mm: f64,
    pub width: usize,
    pub height: usize,
}

impl Camera {
    /// Sets tube and detector up with the central ray in the middle of the film.
    pub fn new(s: &Setup) -> Camera {
        let aim = V(s.aim);
        // Outward turn of a right foot carries its toes towards +z: a negative turn in V's sense;
        // the camera turns the opposite way round the same axis.
        let out = if s.side == Side::Right { 1.0 } else { -1.0 };
        let turn = out * s.foot_rotation_deg.to_radians();
        let turned = |v: V| v.turned_about_upright(turn, V([0.0; 3]));
        let (ray, columns, rows, normal) = (
            turned(s.beam.ray),
            turned(s.beam.columns),
            turned(s.beam.rows),
            turned(s.beam.normal),
        );
        let source = aim - ray * (s.source_to_detector_mm - s.object_to_detector_mm);
        let centre = aim + ray * s.object_to_detector_mm;
        let half = |n: usize| (n as f64 - 1.0) / 2.0 * s.pixel_mm;
        Camera {
            source,
            first_pixel: centre - columns * half(s.width) - rows * half(s.height),
            columns,
            rows,
            normal,
            distance_mm: (centre - source).dot(normal),
            pixel_mm: s.pixel_mm,
            width: s.width,
            height: s.height,
        }
    }

    /// The same beam with the detector slid in its own plane, so that what fell on pixel (x, y) falls
    /// on (x + dx, y + dy).
    pub fn slid_px(mut self, dx: f64, dy: f64) -> Camera {
        self.first_pixel = self.first_pixel
            - self.columns * (dx * self.pixel_mm)
            - self.rows * (dy * self.pixel_mm);
        self
    }

    /// Where a point falls, in film pixels; the first pixel's centre is (0, 0).
    /// Not a number for a point beside or behind the source.
    pub fn project(&self, world_mm: [f64; 3]) -> [f64; 2] {
        let (p, magnification) = self.on_detector(world_mm);
        if magnification <= 0.0 {
            return [f64::NAN; 2];
        }
        let d = p - self.first_pixel;
        [
            d.dot(self.columns) / self.pixel_mm,
            d.dot(self.rows) / self.pixel_mm,
        ]
    }

    /// How much larger than life a small thing at this point is drawn; not above zero behind the source.
    pub fn magnification(&self, world_mm: [f64; 3]) -> f64 {
        self.on_detector(world_mm).1
    }

    fn on_detector(&self, world_mm: [f64; 3]) -> (V, f64) {
        let from_source = V(world_mm) - self.source;
        let magnification = self.distance_mm / from_source.dot(self.normal);
        (self.source + from_source * magnification, magnification)
    }

    /// From the source to a pixel of the detector.
    pub(crate) fn ray_to(&self, x: f64, y: f64) -> V {
        self.first_pixel + self.columns * (x * self.pixel_mm) + self.rows * (y * self.pixel_mm)
            - self.source
    }

    /// Source to detector along the normal through the source, mm.
    pub fn source_to_detector_plane_mm(&self) -> f64 {
        self.distance_mm
    }

    /// Is this film point on the film, with `margin` pixels to spare?
    pub fn holds(&self, [x, y]: [f64; 2], margin: f64) -> bool {
        x >= margin
            && y >= margin
            && x <= self.width as f64 - 1.0 - margin
            && y <= self.height as f64 - 1.0 - margin
    }
}

impl crate::truth::Camera for Camera {
    fn project(&self, world_mm: [f64; 3]) -> [f64; 2] {
        Camera::project(self, world_mm).map(|px| px * self.pixel_mm)
    }
}
