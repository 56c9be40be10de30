//! Which views stand where, and how large?
//!
//! As large as the device: all four views on one page where they fit, else those from above and from the inner
//! side on one and those from behind on a second. Half as large where even these do not fit; never anything
//! between, so that a ruler laid on the paper reads the device.

use super::bench::View;
use super::board::{Board, TITLE_STRIP_MM, title_width};
use super::parts::Parts;
use super::plan::{base_words, tilt_words};
use super::section::Section;
use super::{DeviceModel, Drawing, Views, mm, plan, posts, profile, rear, ruler};
use crate::svg::Svg;

/// How large the device is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    Full,
    Half,
}

impl Scale {
    /// Millimetres of paper for one of the device.
    pub fn factor(self) -> f64 {
        match self {
            Scale::Full => 1.0,
            Scale::Half => 0.5,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Scale::Full => "Scale 1:1, as large as the device",
            Scale::Half => "Scale 1:2, half as large as the device",
        }
    }
}

/// Between two views.
const GAP_MM: f64 = 3.5;

/// The section that is asked for, kept on the device; else the one at the navicular.
fn section(model: &DeviceModel<'_>, parts: &Parts<'_>) -> Section {
    let room = [parts.low[0] + 8.0, parts.high[0] - 12.0];
    let asked = model.section_mm.filter(|s| s.is_finite());
    let along = asked.unwrap_or_else(|| parts.navicular()[0]);
    let kept = if room[0] < room[1] {
        along.clamp(room[0], room[1])
    } else {
        along
    };
    Section::of(parts, kept)
}

/// The four views, each with its own ruler, as large as the device; a page shows them at any width.
///
/// `None` for a device that has no shell.
pub fn views(model: &DeviceModel<'_>) -> Option<Views> {
    let parts = Parts::of(model)?;
    let section = section(model, &parts);
    let said = Said::of(&parts, &section);
    Some(Views {
        plan: alone(plan::board(&parts, 1.0, section.along), said.plan),
        inner: alone(
            profile::board(&parts, View::Inner, 1.0, section.along),
            said.inner,
        ),
        behind: alone(rear::board(&parts, 1.0), said.behind),
        section: alone(section.board(&parts, 1.0), said.section),
    })
}

/// A view with its own ruler.
fn alone(board: Board<'_>, alt: String) -> Drawing {
    let drawn = board.drawn();
    let width = drawn.size[0].max(ruler::SHORT_MM);
    let height = drawn.size[1] + GAP_MM + ruler::SIZE_MM[1];
    let mut svg = Svg::new(width, height, &drawn.title, &alt);
    drawn.draw(&mut svg, [0.0, 0.0]);
    ruler::draw(&mut svg, [0.0, drawn.size[1] + GAP_MM], None, false);
    Drawing {
        svg: svg.finish(),
        width_mm: width,
        height_mm: height,
        scale: Scale::Full,
        alt,
    }
}

/// The section by itself, quick enough to follow a hand.
///
/// `None` for a device that has no shell.
pub fn section_view(model: &DeviceModel<'_>) -> Option<Drawing> {
    let parts = Parts::of(model)?;
    let section = section(model, &parts);
    let said = Said::of(&parts, &section);
    Some(alone(section.board(&parts, 1.0), said.section))
}

/// All four views on pages with this room (width and height in millimetres of paper): one drawing, or two.
///
/// Empty for a device that has no shell.
pub fn sheets(model: &DeviceModel<'_>, room_mm: [f64; 2]) -> Vec<Drawing> {
    let Some(parts) = Parts::of(model) else {
        return Vec::new();
    };
    let section = section(model, &parts);
    let page = Page {
        parts: &parts,
        section: &section,
        room_mm,
    };
    let full = Places::of(&parts, &section, Scale::Full, room_mm[0]);
    let width = full.top[0].max(full.bottom[0]);
    if width > room_mm[0] || full.top[1].max(full.bottom[1] + BELOW_MM) > room_mm[1] {
        vec![page.whole(&Places::of(&parts, &section, Scale::Half, room_mm[0]))]
    } else if full.top[1] + GAP_MM + full.bottom[1] > room_mm[1] {
        vec![page.upper(&full), page.lower(&full)]
    } else {
        vec![page.whole(&full)]
    }
}

/// A ruler under a row of views, with its air.
const BELOW_MM: f64 = GAP_MM + ruler::SIZE_MM[1];

/// What drawings of one device share.
struct Page<'a> {
    parts: &'a Parts<'a>,
    section: &'a Section,
    room_mm: [f64; 2],
}

impl Page<'_> {
    fn whole(&self, places: &Places) -> Drawing {
        let height = places.top[1] + GAP_MM + places.bottom[1];
        self.drawing(
            "",
            places,
            height,
            Said::of(self.parts, self.section).all(),
            |svg| {
                self.draw_upper(svg, places);
                self.draw_lower(svg, places, places.top[1] + GAP_MM);
            },
        )
    }

    fn upper(&self, places: &Places) -> Drawing {
        let said = Said::of(self.parts, self.section);
        let alt = format!("{} {}", said.plan, said.inner);
        self.drawing(
            " from above and from the inner side",
            places,
            places.top[1],
            alt,
            |svg| {
                self.draw_upper(svg, places);
            },
        )
    }

    fn lower(&self, places: &Places) -> Drawing {
        let said = Said::of(self.parts, self.section);
        let alt = format!("{} {}", said.behind, said.section);
        let height = places.bottom[1] + BELOW_MM;
        self.drawing(" from behind", places, height, alt, |svg| {
            self.draw_lower(svg, places, 0.0);
            let under = [0.0, places.bottom[1] + GAP_MM];
            let told = ruler::Told::of(self.parts, places.scale);
            ruler::draw(svg, under, Some(&told), false);
        })
    }

    fn drawing(
        &self,
        seen: &str,
        places: &Places,
        height: f64,
        alt: String,
        draw: impl Fn(&mut Svg),
    ) -> Drawing {
        let side = self.parts.device().side.word();
        let title = format!("Workshop drawing, {side} foot{seen}");
        // The whole width of the room is the drawing's, so that it is printed at exactly its own size.
        let width = self.room_mm[0].max(places.top[0]).max(places.bottom[0]);
        let mut svg = Svg::new(width, height, &title, &alt);
        draw(&mut svg);
        Drawing {
            svg: svg.finish(),
            width_mm: width,
            height_mm: height,
            scale: places.scale,
            alt,
        }
    }

    fn draw_upper(&self, svg: &mut Svg, places: &Places) {
        let (factor, along) = (places.scale.factor(), self.section.along);
        let plan = plan::board(self.parts, factor, along);
        plan.drawn().draw(svg, [places.plan, 0.0]);
        let inner = profile::board(self.parts, View::InnerStanding, factor, along);
        inner.drawn().draw(svg, [places.inner, places.inner_top]);
        let bottom = ruler::SIZE_MM[0] + TITLE_STRIP_MM;
        let told = ruler::Told::of(self.parts, places.scale);
        ruler::draw(svg, [places.ruler, bottom], Some(&told), true);
    }

    fn draw_lower(&self, svg: &mut Svg, places: &Places, top: f64) {
        let factor = places.scale.factor();
        rear::board(self.parts, factor)
            .drawn()
            .draw(svg, [0.0, top]);
        let section = self.section.board(self.parts, factor);
        let [right, down] = places.section;
        section.drawn().draw(svg, [right, top + down]);
    }
}

/// What the lines mean, to be said beside a drawing.
pub const KEY: &str = "The device as it stands on the bench; dimensions are measured on the solid. Fine lines: equal heights, 5 mm apart. Dashed green: flat base of a post. Dashed in the heel: cut through its middle, and the foot’s own level. Dotted: the foot, before fill and cuts.";

/// The plan with the inner side standing beside it on its own side, the ruler upright on the right; the view
/// from behind and the section in a row under them, or one under the other where the row is too wide.
struct Places {
    scale: Scale,
    /// Size of the upper row with the ruler, and of the lower one.
    top: [f64; 2],
    bottom: [f64; 2],
    /// Left edges.
    plan: f64,
    inner: f64,
    ruler: f64,
    /// Top of the inner side: its device lies level with the plan's.
    inner_top: f64,
    /// Corner of the section in the lower row: beside the view from behind, or under it.
    section: [f64; 2],
}

impl Places {
    fn of(parts: &Parts<'_>, section: &Section, scale: Scale, room: f64) -> Places {
        let factor = scale.factor();
        let frames = [
            plan::frame(parts),
            profile::frame(parts, View::InnerStanding, factor),
        ];
        let [plan, inner] = frames.map(|f| f.size(factor));
        let behind = rear::frame(parts).size(factor);
        let across = section.frame(parts).size(factor);
        let left = parts.bench.inner_is_left();
        let [plan_left, inner_left] = if left {
            [inner[0] + GAP_MM, 0.0]
        } else {
            [0.0, plan[0] + GAP_MM]
        };
        // The rear edge lies so far above the bottom of its frame.
        let rear = [parts.low[0], 0.0, 0.0];
        let [on_plan, on_inner] = [
            frames[0].down_to(&parts.bench, rear, factor),
            frames[1].down_to(&parts.bench, rear, factor),
        ];
        let inner_top = (on_plan - on_inner).max(0.0);
        let ruler = plan[0] + GAP_MM + inner[0] + GAP_MM;
        let top = plan[1]
            .max(inner_top + inner[1])
            .max(ruler::SIZE_MM[0] + TITLE_STRIP_MM);
        let behind_width = behind[0].max(title_width(&rear::title(parts)));
        let section_width = across[0].max(title_width(&section.title(parts)));
        let beside = behind_width + GAP_MM + section_width;
        let (bottom, section) = if beside > room {
            let under = behind[1] + GAP_MM;
            (
                [behind_width.max(section_width), under + across[1]],
                [0.0, under],
            )
        } else {
            (
                [beside, behind[1].max(across[1])],
                [behind_width + GAP_MM, 0.0],
            )
        };
        Places {
            scale,
            top: [ruler + ruler::SIZE_MM[1], top],
            bottom,
            plan: plan_left,
            inner: inner_left,
            section,
            ruler,
            inner_top,
        }
    }
}

/// The drawing for those who listen instead of look.
struct Said {
    plan: String,
    inner: String,
    behind: String,
    section: String,
}

impl Said {
    fn of(parts: &Parts<'_>, section: &Section) -> Said {
        let side = parts.device().side.word();
        let (low, high) = (parts.low, parts.high);
        let posts: Vec<String> = posts::bases(parts)
            .iter()
            .map(|b| {
                let (name, size) = base_words(parts, b);
                if size.is_empty() {
                    name
                } else {
                    format!("{name}, {size}")
                }
            })
            .collect();
        let posts = if posts.is_empty() {
            "no post".to_owned()
        } else {
            posts.join("; ")
        };
        let cup = parts.cup().map_or_else(String::new, |(bottom, rim)| {
            let depth = parts.measured("heel cup's depth", rim[2] - bottom[2]);
            format!(", heel cup {} deep", mm(depth))
        });
        let tilt = rear::tilt(parts);
        let level = if tilt.abs() < 0.05 {
            "the foot stands level".to_owned()
        } else {
            format!("the foot is turned by {}", tilt_words(tilt))
        };
        let walls: Vec<String> = [(true, "inner"), (false, "outer")]
            .into_iter()
            .filter_map(|(inner, word)| {
                let wall = parts.wall(section.along, inner)?;
                Some(format!("{} thick on the {word} half", mm(wall.mm)))
            })
            .collect();
        let walls = if walls.is_empty() {
            "the shell under the foot's line".to_owned()
        } else {
            walls.join(", ")
        };
        Said {
            plan: format!(
                "Shell for a {side} foot from above, toes up: {} long, {} at its widest; {posts}.",
                mm(parts.length()),
                mm(high[1] - low[1])
            ),
            inner: format!(
                "From the inner side: {} long, {} at its highest{cup}.",
                mm(parts.length()),
                mm(high[2])
            ),
            behind: format!("The heel from behind, standing on the ground: {level}."),
            section: format!(
                "Section across, {} from the rear edge{}: {walls}.",
                mm(section.along.round()),
                if section.at_navicular {
                    ", at the navicular"
                } else {
                    ""
                },
            ),
        }
    }

    fn all(&self) -> String {
        [&self.plan, &self.inner, &self.behind, &self.section]
            .map(String::as_str)
            .join(" ")
    }
}
