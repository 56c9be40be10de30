//! Why a clip, a photograph or a marker file gave no readings: what was found, what was expected, what to do.

/// Every message is one sentence for the person at the desk and names nothing about the patient.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MotionError {
    #[error(
        "the clip holds no frame; expected at least {least}; export it again or choose another"
    )]
    NoFrames { least: usize },
    #[error(
        "the clip holds one frame and nothing moves in it; expected at least {least}; choose the clip and not a picture of it"
    )]
    OneFrame { least: usize },
    #[error(
        "frame {frame} has {found_width} × {found_height} pixels where the first has {width} × {height}; expected one size throughout; export the clip again at one size"
    )]
    SizeChanged {
        frame: usize,
        found_width: usize,
        found_height: usize,
        width: usize,
        height: usize,
    },
    #[error(
        "a frame has {width} × {height} pixels; expected {least} to {most} each way; export the clip at a usual size"
    )]
    FrameSize {
        width: usize,
        height: usize,
        least: usize,
        most: usize,
    },
    #[error(
        "the clip has {count} frames and at most {most} are followed; cut it to the rises themselves"
    )]
    TooManyFrames { count: usize, most: usize },
    #[error(
        "the time of frame {frame} is not after that of the frame before it; expected times that grow; give the times the camera wrote, or a rate"
    )]
    TimesDoNotGrow { frame: usize },
    #[error(
        "the rate of frames is {found} a second; expected more than 0 and at most {most}; give the rate of the clip"
    )]
    Rate { found: f64, most: f64 },
    #[error("frame {frame} was asked for and the clip has {count}; choose a frame of the clip")]
    NoSuchFrame { frame: usize, count: usize },
    #[error("frame {frame} could not be read ({found}); export the clip again")]
    FrameDamaged { frame: usize, found: String },
    #[error(
        "the folder holds no numbered picture; expected PNG, JPEG or TIFF frames with a number in their name; choose the folder the frames were written to"
    )]
    NoPictures,
    #[error("the times beside the frames cannot be used ({found}); expected {expected}")]
    TimesFile {
        found: String,
        expected: &'static str,
    },
    #[error(
        "the folder gives no times and no rate was given; expected a file times.csv or a rate; give the rate of the clip"
    )]
    NoTimes,
    #[error(
        "this is no file of frames ({found}); expected a ZIP of numbered pictures with times.csv beside them; choose the clip itself or its pictures"
    )]
    NotPacked { found: String },
    #[error(
        "these are no grey frames ({found}); expected a first line 'tiebeam-grey WIDTH HEIGHT RATE' and then the bytes of whole frames; convert the clip again"
    )]
    NotGreyFrames { found: String },
    #[error(
        "no leg is marked in the clip; expected four points on one leg or on both; place them in one frame and try again"
    )]
    NoLeg,
    #[error(
        "the {side} leg is marked twice; expected one set of four points for a leg; take one away"
    )]
    LegTwice { side: &'static str },
    #[error("the clip is marked on {count} legs; expected one or two; take the others away")]
    TooManyLegs { count: usize },
    #[error(
        "the {point} of the {side} leg lies outside the frame; expected a point inside it; place it again"
    )]
    MarkOutside {
        side: &'static str,
        point: &'static str,
    },
    #[error(
        "the two points of the {line} lie {found:.1} pixels apart; expected at least {least}; place them further apart"
    )]
    PointsTooClose {
        line: &'static str,
        found: f64,
        least: f64,
    },
    #[error(
        "the upper point of the {line} lies below the lower; expected the upper nearer the top of the picture; exchange them or turn the picture upright"
    )]
    UpsideDown { line: &'static str },
    #[error("{what} is {found}; expected {expected}; correct it and try again")]
    OutOfRange {
        what: &'static str,
        found: f64,
        expected: &'static str,
    },
    #[error(
        "the edge of the skin was found at {found} of {of} heights; expected {least}; set two points on each line by hand instead"
    )]
    EdgesNotFound {
        found: usize,
        of: usize,
        least: usize,
    },
    #[error(
        "the middles between the edges of the skin scatter by {scatter:.1} pixels; expected at most {most:.1}; set two points on the line by hand instead"
    )]
    EdgesUnsteady { scatter: f64, most: f64 },
    #[error(
        "the steps do not belong to this clip ({found}); expected a place in every frame for every point; follow the points again"
    )]
    StepsDoNotFit { found: String },
    #[error(
        "the steps are in the form {found:?} version {version}; expected 'tiebeam-motion' version 1; follow the points again with this program"
    )]
    StepsForm { found: String, version: u32 },
    #[error("this is no C3D file ({found}); expected {expected}; choose the marker file itself")]
    NotC3d {
        found: String,
        expected: &'static str,
    },
    #[error("the C3D file is damaged ({found}); expected {expected}; export it again")]
    C3dDamaged {
        found: String,
        expected: &'static str,
    },
    #[error(
        "the file holds no marker called {found}; expected one of its labels; choose again from the list"
    )]
    NoSuchMarker { found: String },
}

/// Foreign text for a message: one line, short, printable.
pub(crate) fn quote(text: &str) -> String {
    let clean = text.chars().filter(|c| !c.is_control());
    let mut out: String = clean.take(60).collect::<String>().trim().to_owned();
    if text.chars().count() > 60 {
        out.push('…');
    }
    format!("'{out}'")
}
