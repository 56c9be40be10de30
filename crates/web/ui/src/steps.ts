// Undo and redo over states. Every change of the hand is one step; changes of one run (a drag, a row of nudges)
// count as one.

export class Steps<State> {
  #past: State[] = [];
  #future: State[] = [];
  #run = "";

  constructor(protected state: State) {}

  /** Takes a new state; `run` names changes that belong together, an empty name stands alone. */
  protected take(next: State, run: string): void {
    if (run === "" || run !== this.#run) this.#past.push(this.state);
    this.#run = run;
    this.#future = [];
    this.state = next;
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

  /** The state before, or nothing where there is none. */
  undo(): State | null {
    return this.#to(this.#past, this.#future);
  }

  redo(): State | null {
    return this.#to(this.#future, this.#past);
  }

  #to(from: State[], back: State[]): State | null {
    const state = from.pop();
    if (!state) return null;
    back.push(this.state);
    this.state = state;
    this.#run = "";
    return state;
  }
}
