"""Second implementation of all readings, vectorised: written from the definitions, not from the Rust.

Points come as arrays of shape (..., 2) by landmark, in millimetres of the film with y up; every function
works on any leading shape. Angles in degrees, lengths in millimetres.
"""

import numpy as np

DEG = 180.0 / np.pi


def wrap(angle):
    return (angle + 180.0) % 360.0 - 180.0


def direction(v):
    return np.arctan2(v[..., 1], v[..., 0]) * DEG


def middle(p, a, b):
    return 0.5 * (p[a] + p[b])


def unit(v):
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def frame(view, p):
    """Points in the view's frame: x forward or outwards, y up or to the toes; the floor is y = 0."""
    if view == "lateral":
        along = p["floor_front"] - p["floor_back"]
        forward = p["mt1_head_centre"] - p["calc_back"]
        along = along * np.sign(np.sum(along * forward, axis=-1, keepdims=True))
        x = unit(along)
        y = np.stack([-x[..., 1], x[..., 0]], axis=-1)
        origin = p["floor_back"]
        height = np.sum((p["talus_dome_top"] - origin) * y, axis=-1, keepdims=True)
        y = y * np.sign(height)
    else:
        up = np.zeros_like(next(iter(p.values())))
        up[..., 1] = 1.0
        y, origin = up, 0.0 * up
        if view == "dorsoplantar":
            outer = p["dp_mt5_head_centre"] - p["dp_mt1_head_centre"]
        elif view == "hindfoot-alignment":
            outer = p["hf_lat_mall"] - middle(p, "hf_tibia_low_med", "hf_tibia_low_lat")
        else:
            outer = p["an_lat_mall"] - middle(p, "an_tibia_low_med", "an_tibia_low_lat")
        sign = np.sign(outer[..., :1])
        x = np.concatenate([sign, np.zeros_like(sign)], axis=-1)
    out = {}
    for name, q in p.items():
        d = q - origin
        out[name] = np.stack([np.sum(d * x, axis=-1), np.sum(d * y, axis=-1)], axis=-1)
    return out


def lateral(p):
    upper = direction(p["talus_head_top"] - p["talus_dome_top"])
    lower = direction(p["talus_head_low"] - p["talus_back_low"])
    talus = lower + 0.5 * wrap(upper - lower)
    mt1 = direction(p["mt1_head_centre"] - middle(p, "mt1_base_top", "mt1_base_low"))
    calcaneus = direction(p["calc_plantar_front"] - p["calc_plantar_tuber"])
    mt5 = direction(p["mt5_head_low"] - p["mt5_base_low"])
    navicular = p["nav_low"][..., 1]
    heel = p["calc_back"][..., 0]
    return {
        "meary_lat": wrap(mt1 - talus),
        "calc_pitch": wrap(calcaneus),
        "talar_decl": -wrap(talus),
        "mt1_decl": -wrap(mt1),
        "tca_lat": wrap(calcaneus - talus),
        "c1ma_lat": 180.0 + wrap(mt1 - calcaneus),
        "c5ma_lat": 180.0 + wrap(mt5 - calcaneus),
        "mc_floor": p["cuneiform1_low"][..., 1],
        "mc_mt5": p["cuneiform1_low"][..., 1] - p["mt5_base_low"][..., 1],
        "nav_height": navicular,
        "nav_height_truncated": navicular / (p["mt1_head_front"][..., 0] - heel),
        "nav_height_foot": navicular / (p["hallux_tip"][..., 0] - heel),
        "cuboid_height": p["cuboid_low"][..., 1],
        "cyma_step": p["talus_head_low"][..., 0] - p["calc_cuboid_top"][..., 0],
    }


def dorsoplantar(p):
    talus = direction(
        middle(p, "dp_talus_head_med", "dp_talus_head_lat")
        - middle(p, "dp_talus_neck_med", "dp_talus_neck_lat")
    )
    calcaneus = direction(middle(p, "dp_calc_front_med", "dp_calc_front_lat") - p["dp_calc_back"])
    mt1 = direction(p["dp_mt1_head_centre"] - middle(p, "dp_mt1_base_med", "dp_mt1_base_lat"))
    mt2 = direction(p["dp_mt2_head_centre"] - middle(p, "dp_mt2_base_med", "dp_mt2_base_lat"))
    head = p["dp_talus_head_lat"] - p["dp_talus_head_med"]
    navicular = p["dp_nav_lat"] - p["dp_nav_med"]
    free = np.sum((p["dp_nav_med"] - p["dp_talus_head_med"]) * head, axis=-1)
    cross = direction(
        middle(p, "dp_cuboid_lat_back", "dp_cuboid_lat_front")
        - middle(p, "dp_cun1_front_med", "dp_nav_med")
    )
    cuboid = direction(p["dp_cuboid_lat_front"] - p["dp_cuboid_lat_back"])
    border = direction(p["dp_calc_front_lat"] - p["dp_calc_lat_back"])
    neck = direction(p["dp_talus_head_lat"] - p["dp_talus_neck_lat"])
    edge = direction(p["dp_nav_lat"] - p["dp_talus_head_lat"])
    return {
        "tca_dp": wrap(talus - calcaneus),
        "tnca": wrap(direction(head) - direction(navicular)),
        "tn_uncov": 100.0 * free / np.sum(head * head, axis=-1),
        "t1mt_dp": wrap(talus - mt1),
        "t2mt_dp": wrap(talus - mt2),
        "cc_abd": wrap(border - cuboid),
        "lia": wrap(neck - edge),
        "maa": wrap(wrap(mt2 - cross) - 90.0),
    }


def hindfoot(p):
    high = middle(p, "hf_tibia_high_med", "hf_tibia_high_lat")
    low = middle(p, "hf_tibia_low_med", "hf_tibia_low_lat")
    heel = p["hf_calc_low"]
    slope = (low[..., 0] - high[..., 0]) / (low[..., 1] - high[..., 1])
    calcaneus = middle(p, "hf_calc_lower_med", "hf_calc_lower_lat") - middle(
        p, "hf_calc_upper_med", "hf_calc_upper_lat"
    )
    return {
        "hma": heel[..., 0] - (low[..., 0] + slope * (heel[..., 1] - low[..., 1])),
        "haa": wrap(direction(calcaneus) - direction(low - high)),
    }


def ankle(p):
    tibia = direction(
        middle(p, "an_tibia_high_med", "an_tibia_high_lat")
        - middle(p, "an_tibia_low_med", "an_tibia_low_lat")
    )
    plafond = direction(p["an_plafond_lat"] - p["an_plafond_med"])
    dome = direction(p["an_dome_lat"] - p["an_dome_med"])
    return {
        "talar_tilt": wrap(dome - plafond),
        "mdta": 180.0 + wrap(plafond - tibia),
        "tibiotalar": 180.0 + wrap(dome - tibia),
    }


READ = {
    "lateral": lateral,
    "dorsoplantar": dorsoplantar,
    "hindfoot-alignment": hindfoot,
    "ankle-front": ankle,
}

# Lengths move with the scale.
LENGTHS = {"mc_floor", "mc_mt5", "nav_height", "cuboid_height", "cyma_step", "hma"}
# Readings against the film's edge where no floor points are placed.
AGAINST_EDGE = {"hma"}
# Measures that hold the turned foot in their error: all of the lateral view but the step.
TURNED = {
    "meary_lat", "calc_pitch", "talar_decl", "mt1_decl", "tca_lat", "c1ma_lat", "c5ma_lat",
    "mc_floor", "mc_mt5", "nav_height", "nav_height_truncated", "nav_height_foot", "cuboid_height",
}  # fmt: skip

EDGE_TILT_SD_DEG = 0.5


def film_mm(case):
    """Names, points in film millimetres with y up, and covariances likewise."""
    scale = case["film"]["scale"]
    step = np.array([scale["mm_per_px_x"], -scale["mm_per_px_y"]])
    names = sorted(case["points"]["points"])
    points = [case["points"]["points"][n] for n in names]
    at = np.array([[q["x_px"], q["y_px"]] for q in points]) * step
    covariance = np.array([q["covariance_px2"] for q in points]) * np.outer(step, step)
    return names, at, covariance


def read(view, names, points):
    """All measures of points of shape (..., number of landmarks, 2)."""
    by_name = {n: points[..., i, :] for i, n in enumerate(names)}
    return READ[view](frame(view, by_name))
