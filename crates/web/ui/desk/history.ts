// Undo and redo over the placed points and the film's scale. Every change of the hand is one step; a drag
// or a run of nudges of one point counts as one.

import type { ScaleWish } from "./api.js";
import type { Point } from "./turn.js";

export type Points = ReadonlyMap<string, Point>;

interface State {
  points: Points;
  wish: ScaleWish;
}

export class History {
  #past: State[] = [];
  #future: State[] = [];
  #now: State;
  #run = "";

  constructor(points: Points, wish: ScaleWish) {
    this.#now = { points, wish };
  }

  get now(): Points {
    return this.#now.points;
  }

  get wish(): ScaleWish {
    return this.#now.wish;
  }

  /** `run` names a run of changes that belong together; an empty name stands alone. */
  change(key: string, point: Point | null, run = ""): void {
    const points = new Map(this.#now.points);
    if (point) points.set(key, point);
    else points.delete(key);
    this.#step({ ...this.#now, points }, run);
  }

  rescale(wish: ScaleWish): void {
    this.#step({ ...this.#now, wish }, "");
  }

  #step(next: State, run: string): void {
    if (run === "" || run !== this.#run) this.#past.push(this.#now);
    this.#run = run;
    this.#future = [];
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
    return this.#to(this.#past, this.#future);
  }

  redo(): boolean {
    return this.#to(this.#future, this.#past);
  }

  #to(from: State[], back: State[]): boolean {
    const state = from.pop();
    if (!state) return false;
    back.push(this.#now);
    this.#now = state;
    this.#run = "";
    return true;
  }
}
