// Undo and redo over the texts of the order. Every change of the hand is one step; a drag or a run of nudges
// of one thing counts as one.

import type { Texts } from "./api.js";

export class History {
  #past: Texts[] = [];
  #future: Texts[] = [];
  #run = "";

  constructor(private now: Texts) {}

  /** Takes a new state; `run` names changes that belong together, an empty name stands alone. */
  step(next: Texts, run: string): void {
    if (JSON.stringify(next) === JSON.stringify(this.now)) return;
    if (run === "" || run !== this.#run) this.#past.push(this.now);
    this.#run = run;
    this.#future = [];
    this.now = next;
  }

  /** Numbers that the server set right without a change of the hand. */
  amend(texts: Texts): void {
    this.now = { ...this.now, ...texts };
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

  undo(): Texts | null {
    return this.#to(this.#past, this.#future);
  }

  redo(): Texts | null {
    return this.#to(this.#future, this.#past);
  }

  #to(from: Texts[], back: Texts[]): Texts | null {
    const state = from.pop();
    if (!state) return null;
    back.push(this.now);
    this.now = state;
    this.#run = "";
    return state;
  }
}
