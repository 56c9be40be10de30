// Undo and redo over the placed points and the film's scale.

import { Steps } from "../src/steps.js";
import type { ScaleWish } from "./api.js";
import type { Point } from "./turn.js";

export type Points = ReadonlyMap<string, Point>;

interface State {
  points: Points;
  wish: ScaleWish;
}

export class History extends Steps<State> {
  constructor(points: Points, wish: ScaleWish) {
    super({ points, wish });
  }

  get now(): Points {
    return this.state.points;
  }

  get wish(): ScaleWish {
    return this.state.wish;
  }

  /** `run` names a run of changes that belong together; an empty name stands alone. */
  change(key: string, point: Point | null, run = ""): void {
    const points = new Map(this.state.points);
    if (point) points.set(key, point);
    else points.delete(key);
    this.take({ ...this.state, points }, run);
  }

  rescale(wish: ScaleWish): void {
    this.take({ ...this.state, wish }, "");
  }
}
