// Undo and redo over the texts of the order.

import { Steps } from "../src/steps.js";
import type { Texts } from "./api.js";

export class History extends Steps<Texts> {
  step(next: Texts, run: string): void {
    if (JSON.stringify(next) !== JSON.stringify(this.state)) this.take(next, run);
  }

  /** Numbers that the server set right without a change of the hand. */
  amend(texts: Texts): void {
    this.state = { ...this.state, ...texts };
  }
}
