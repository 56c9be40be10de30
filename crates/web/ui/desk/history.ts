// Undo and redo over the placed points. Every change of the hand is one step; a drag or a run of
// nudges of one point counts as one.

import type { Point } from "./turn.js";

export type Points = ReadonlyMap<string, Point>;

export class History {
  #past: Points[] = [];
  #future: Points[] = [];
  #now: Points;
  #run = "";

  constructor(points: Points) {
    this.#now = points;
  }

  get now(): Points {
    return this.#now;
  }

  /** `run` names a run of changes that belong together; an empty name stands alone. */
  change(key: string, point: Point | null, run = ""): void {
    if (run === "" || run !== this.#run) this.#past.push(this.#now);
    this.#run = run;
    this.#future = [];
    const next = new Map(this.#now);
    if (point) next.set(key, point);
    else next.delete(key);
    this.#now = next;
  }

  /** Ends a run, so that the next change of the same name is a step of its own. */
  settle(): void {
    this.#run = "";
  }

  get canUndo(): boolean {
    return this.#past.length > 0;
  }

  get canRedo(): boolean {
    return this.#future.length > 0;
  }

  undo(): boolean {
    const before = this.#past.pop();
    if (!before) return false;
    this.#future.push(this.#now);
    this.#now = before;
    this.#run = "";
    return true;
  }

  redo(): boolean {
    const after = this.#future.pop();
    if (!after) return false;
    this.#past.push(this.#now);
    this.#now = after;
    this.#run = "";
    return true;
  }
}
