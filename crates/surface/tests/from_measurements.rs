//! A sole built from measurements, measured again.

use surface::built::{Measures, built};
use surface::{Dimensions, Origin};
use terms::Side;

#[test]
fn what_was_given_is_what_is_measured_within_a_millimetre() {
    for (length, ball, heel, navicular) in [
        (250.0, 98.0, 66.0, 43.0),
        (150.0, 62.0, 44.0, 24.0),
        (295.0, 108.0, 74.0, 30.0),
        (238.0, 86.0, 60.0, 55.0),
    ] {
        let measures = Measures {
            foot_length: length,
            ball_width: ball,
            heel_width: heel,
            navicular_height: navicular,
            heel_pad_length: None,
            print: Vec::new(),
        };
        let foot = built(&measures, Side::Left).expect("a foot's measures");
        let d = Dimensions::of(&foot);
        for (what, found, given) in [
            ("length", d.foot_length_mm, length),
            ("ball", d.breadth_mm, ball),
            ("heel", d.heel_breadth_mm, heel),
            ("navicular", d.navicular_height_mm, navicular),
        ] {
            eprintln!("{what:10} given {given:6.1} measured {found:6.1}");
            assert!((found - given).abs() <= 1.0, "{what}: {found} for {given}");
        }
        assert!(matches!(foot.origin, Origin::Built { .. }));
        assert_eq!((d.ball_girth_mm, d.instep_height_mm), (None, None));
        assert!(d.arch_clearance_mm > 2.0 && d.arch_clearance_mm < navicular);
    }
}
