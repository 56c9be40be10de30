//! How large is a scanned foot, how high its arch, in which shoe, and how does it differ from the other foot?
//! And how was it set into its frame?
//!
//! Everything is measured by `surface` and compared by `workshop`; here it becomes lines of a page.

use super::scans::scan_words;
use knowledge::{Knowledge, Person};
use quantity::{written, written_short};
use record::{ScanId, ScanRecord};
use surface::measure::Dimensions;
use surface::recognise::Witness;
use terms::{Side, sentence};
use workshop::OpenFoot;
use workshop::sizes::{SHOE_CAUTION, SizeLine, lines, shoes};

/// What the scan's page shows of a foot in numbers.
pub struct Sizes {
    pub lines: Vec<Line>,
    /// In whom the usual sizes were measured; empty where nobody alike was.
    pub population: String,
    /// Why there is nothing to compare with.
    pub no_usual: &'static str,
    pub other: Option<Other>,
    pub arch: Option<Arch>,
    pub ratios: String,
    pub shoes: Vec<ShoeRow>,
    pub shoe_caution: &'static str,
    pub frame: Option<Frame>,
}

pub struct Line {
    pub name: String,
    pub left: String,
    pub right: String,
    pub differs: String,
    /// `271 ± 13`
    pub usual: String,
    pub place: &'static str,
    pub sources: Vec<String>,
    pub letter: char,
}

/// The other foot's scan of the same visit.
pub struct Other {
    pub id: ScanId,
    pub words: String,
    /// Why the two do not simply compare.
    pub caution: Option<String>,
}

pub struct ShoeRow {
    pub name: String,
    pub size: String,
    pub words: String,
    pub provenance: &'static str,
}

/// The lowest skin between heel and first head, as a line; in units of its drawing.
pub struct Arch {
    pub view: String,
    pub ground: f64,
    pub wide: f64,
    pub own: String,
    pub other: String,
    pub top: [f64; 2],
    pub top_words: String,
    pub words: String,
}

/// Which plane and axis were used, and what told the side.
pub struct Frame {
    pub method: String,
    pub contacts: String,
    pub side: String,
    pub ends: String,
    pub side_told: Vec<String>,
    pub ends_told: Vec<String>,
}

/// A foot with its scan.
pub struct Scanned<'a> {
    pub record: &'a ScanRecord,
    pub foot: &'a OpenFoot,
}

/// Measures a foot and, where there is one, the other foot of the visit.
pub fn sizes(
    own: &Scanned<'_>,
    other: Option<&Scanned<'_>>,
    person: &Person,
    knowledge: &Knowledge,
) -> Sizes {
    let measured = Dimensions::of(&own.foot.foot);
    let beside = other.map(|o| Dimensions::of(&o.foot.foot));
    let known = lines(&measured, person, knowledge);
    let of_other = beside
        .as_ref()
        .map(|b| lines(b, person, knowledge))
        .unwrap_or_default();
    let side = own.foot.foot.side;
    let population = known
        .iter()
        .find_map(|l| l.usual.as_ref())
        .map(|u| u.population.clone());
    Sizes {
        lines: known.iter().map(|l| line(l, &of_other, side)).collect(),
        no_usual: if person.sex.is_none() {
            "The person's sex is not recorded; the survey gives its sizes for women and men apart."
        } else {
            "The survey measured adults alone; it says nothing of this age."
        },
        population: population.unwrap_or_default(),
        other: other.map(|o| Other {
            id: o.record.id,
            words: scan_words(o.record),
            caution: caution(own.record, o.record),
        }),
        arch: arch(&measured, beside.as_ref(), side),
        ratios: ratios(&measured),
        shoes: shoes(measured.foot_length_mm, person, knowledge)
            .into_iter()
            .map(|s| ShoeRow {
                size: s.size_words(),
                name: s.name,
                words: s.words,
                provenance: s.provenance,
            })
            .collect(),
        shoe_caution: SHOE_CAUTION,
        frame: frame(own.foot),
    }
}

fn line(own: &SizeLine, of_other: &[SizeLine], side: Side) -> Line {
    let other = of_other.iter().find(|l| l.name == own.name);
    let mine = written(own.value_mm, 1);
    let its = other.map_or(String::new(), |l| written(l.value_mm, 1));
    let less = other.map(|l| match side {
        Side::Left => own.value_mm - l.value_mm,
        Side::Right => l.value_mm - own.value_mm,
    });
    let (left, right) = match side {
        Side::Left => (mine, its),
        Side::Right => (its, mine),
    };
    let usual = own.usual.as_ref();
    Line {
        name: sentence(own.name).trim_end_matches('.').to_owned(),
        left,
        right,
        differs: less.map_or(String::new(), signed),
        usual: usual.map_or(String::new(), |u| {
            format!(
                "{} ± {}",
                written_short(u.mean_mm, 0),
                written_short(u.sd_mm, 0)
            )
        }),
        place: usual.and_then(|u| u.place).unwrap_or(""),
        sources: usual.map(|u| u.sources.clone()).unwrap_or_default(),
        letter: usual.map_or(' ', |u| u.letter),
    }
}

/// A difference always carries its sign; what rounds to nothing has none.
fn signed(mm: f64) -> String {
    let text = written(mm, 1);
    if mm > 0.0 && text != written(0.0, 1) {
        format!("+{text}")
    } else {
        text
    }
}

/// Feet under different loads have different shapes.
fn caution(own: &ScanRecord, other: &ScanRecord) -> Option<String> {
    let words = |s: &ScanRecord| s.load.map_or("load not said", |l| l.words());
    (own.load != other.load).then(|| {
        format!(
            "The two were scanned under different loads ({} and {}); a part of the difference is the load's.",
            words(own),
            words(other)
        )
    })
}

fn ratios(sizes: &Dimensions) -> String {
    let mut out = format!(
        "Navicular height beside the length to the inner ball: {}",
        written(sizes.navicular_ratio, 2)
    );
    if let Some(ratio) = sizes.arch_height_ratio {
        out.push_str(&format!("; instep height beside it: {}", written(ratio, 2)));
    }
    out.push('.');
    out
}

/// Units of the drawing to a millimetre.
const SCALE: f64 = 3.0;
/// Room above the line, and below the ground for its words.
const ABOVE: f64 = 6.0;
const BELOW: f64 = 16.0;

fn arch(own: &Dimensions, other: Option<&Dimensions>, side: Side) -> Option<Arch> {
    let profile = &own.arch_profile_mm;
    let top = profile.iter().max_by(|a, b| a[1].total_cmp(&b[1]))?;
    let of_other = other.map(|o| o.arch_profile_mm.as_slice()).unwrap_or(&[]);
    let all = || profile.iter().chain(of_other);
    let long = all().map(|p| p[0]).fold(0.0, f64::max);
    let high = all().map(|p| p[1]).fold(0.0, f64::max);
    if !(long > 0.0 && high.is_finite()) {
        return None;
    }
    let ground = ABOVE + SCALE * high;
    let place = |p: &[f64; 2]| [SCALE * p[0], ground - SCALE * p[1]];
    let path = |points: &[[f64; 2]]| {
        let steps: Vec<String> = points
            .iter()
            .map(place)
            .map(|[x, y]| format!("{x:.1},{y:.1}"))
            .collect();
        steps.join(" ")
    };
    let wide = SCALE * long;
    let mut words = format!(
        "Lowest skin from the heel's centre to the first head, {} foot: up to {} mm free, {} mm ahead of the heel's centre",
        side.word(),
        written(top[1], 1),
        written(top[0], 0)
    );
    if let Some(o) = other {
        words.push_str(&format!(
            "; {} foot, dashed: up to {} mm",
            side.other().word(),
            written(o.arch_clearance_mm, 1)
        ));
    }
    words.push('.');
    Some(Arch {
        view: format!("-6 0 {:.0} {:.0}", wide + 12.0, ground + BELOW),
        ground,
        wide,
        own: path(profile),
        other: path(of_other),
        top: place(top),
        top_words: format!("{} mm", written(top[1], 1)),
        words,
    })
}

fn frame(foot: &OpenFoot) -> Option<Frame> {
    let set = &foot.scanned.as_ref()?.alignment;
    let clear = |c: f64| {
        if c >= 3.0 {
            "clear"
        } else if c >= 1.0 {
            "likely, not clear: look at it"
        } else {
            "not clear: look at it"
        }
    };
    let [heel, inner, outer] = set.contacts_mm.map(|c| written(c[2], 1));
    let told = |all: &[Witness]| -> Vec<String> {
        all.iter()
            .map(|w| {
                let speaks = if w.weight >= 0.0 { "for" } else { "against" };
                format!(
                    "{}: found {}, expected {} of the foot's length; speaks {speaks} it",
                    w.what,
                    written(w.found, 3),
                    written(w.expected, 3)
                )
            })
            .collect()
    };
    Some(Frame {
        method: sentence(&set.method),
        contacts: format!(
            "Lowest skin above that ground: heel {heel} mm, inner ball {inner} mm, outer ball {outer} mm."
        ),
        side: format!(
            "{} foot: {}.",
            sentence(set.side.word()).trim_end_matches('.'),
            clear(set.side_confidence)
        ),
        ends: format!("Which end is the heel: {}.", clear(set.ends_confidence)),
        side_told: told(&set.side_witnesses),
        ends_told: told(&set.ends_witnesses),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::foot::{Measures, of_measures};

    fn built(navicular_height: f64) -> Dimensions {
        let measures = Measures {
            foot_length: 250.0,
            ball_width: 96.0,
            heel_width: 64.0,
            navicular_height,
            heel_pad_length: None,
            print: Vec::new(),
        };
        Dimensions::of(&of_measures(Side::Left, &measures).expect("a foot").foot)
    }

    #[test]
    fn a_difference_is_left_less_right_whichever_foot_the_page_is_about() {
        let size = |value_mm| SizeLine {
            name: "foot length",
            value_mm,
            usual: None,
        };
        let of_left = line(&size(250.0), &[size(246.5)], Side::Left);
        let of_right = line(&size(246.5), &[size(250.0)], Side::Right);
        for l in [of_left, of_right] {
            assert_eq!(
                (l.left.as_str(), l.right.as_str(), l.differs.as_str()),
                ("250.0", "246.5", "+3.5")
            );
        }
        assert_eq!(line(&size(250.0), &[], Side::Left).differs, "");
    }

    #[test]
    fn the_arch_line_stands_on_its_ground_and_rises_with_the_foot() {
        let (low, high) = (built(28.0), built(44.0));
        let drawn = arch(&high, Some(&low), Side::Left).expect("a line");
        assert!(drawn.top[1] < drawn.ground, "drawn upward");
        assert!(
            drawn.words.contains("right foot, dashed"),
            "{}",
            drawn.words
        );
        assert!(!drawn.own.contains("NaN") && drawn.own != drawn.other);
        assert_eq!(drawn.own.split(' ').count(), high.arch_profile_mm.len());
    }
}
