// What marks on the film are gathered for: the fewest that will do, and the key that starts and ends it.

import type { Point } from "./turn.js";

export const GATHERINGS = {
  circle: { least: 3, key: "O", words: "Mark three or more places on the rim, then press O again." },
  axis: { least: 4, key: "X", words: "Mark four or more places on both edges of the bone, then press X again." },
  ball: { least: 3, key: "B", words: "Mark three or more places on the rim of the ball, then press B again." },
  length: { least: 2, key: "K", words: "Mark the two ends of what has a known length, then press K again." },
} as const;

export type Want = keyof typeof GATHERINGS;

export interface Gathering {
  want: Want;
  points: Point[];
  /** Where Enter sets the next mark; moved by the arrow keys. */
  cursor: Point;
  byKey: boolean;
}
