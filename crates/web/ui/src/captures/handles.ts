// Points over a picture: each kept in the text of its field, pulled by the pointer, moved by keys, set by a click.

export interface Size {
  width: number;
  height: number;
}

const STEP_PX = 1;
const LARGE_STEP_PX = 10;

/** The place under a pointer, in pixels of the picture. */
function under(stage: HTMLElement, size: Size, event: PointerEvent | MouseEvent): [number, number] {
  const box = stage.getBoundingClientRect();
  return [((event.clientX - box.left) / box.width) * size.width - 0.5, ((event.clientY - box.top) / box.height) * size.height - 0.5];
}

function text(x: number, y: number, size: Size): string {
  const within = (v: number, most: number): number => Math.min(Math.max(v, 0), most - 1);
  return `${within(x, size.width).toFixed(1)}, ${within(y, size.height).toFixed(1)}`;
}

/** A place over the picture, kept in the text of its field. */
export class Handle {
  private readonly button = document.createElement("button");
  private waiting = 0;

  constructor(
    private readonly stage: HTMLElement,
    private readonly field: HTMLInputElement,
    private readonly size: Size,
    private readonly save: () => Promise<void>,
  ) {
    this.button.type = "button";
    this.button.className = "capture-handle";
    this.button.setAttribute("aria-label", `${field.dataset["handle"]}: move with the arrow keys`);
    stage.append(this.button);
    this.place();
    this.button.addEventListener("keydown", (event) => this.key(event));
    this.button.addEventListener("pointerdown", (event) => this.pull(event));
  }

  place(): void {
    const at = this.at();
    this.button.hidden = !at;
    if (!at) return;
    this.button.style.left = `${(100 * (at[0] + 0.5)) / this.size.width}%`;
    this.button.style.top = `${(100 * (at[1] + 0.5)) / this.size.height}%`;
  }

  /** Stands there and waits for the arrow keys. */
  begin(x: number, y: number): void {
    if (!this.at()) this.put(x, y);
    this.button.focus();
  }

  private at(): [number, number] | null {
    const [x, y] = this.field.value.split(",").map(Number);
    return this.field.value && x !== undefined && y !== undefined && Number.isFinite(x) && Number.isFinite(y) ? [x, y] : null;
  }

  put(x: number, y: number): void {
    this.field.value = text(x, y, this.size);
    this.place();
  }

  private key(event: KeyboardEvent): void {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const at = this.at();
    if (!way || !at) return;
    event.preventDefault();
    const step = event.shiftKey ? LARGE_STEP_PX : STEP_PX;
    this.put(at[0] + step * (way[0] as number), at[1] + step * (way[1] as number));
    // The last key of a row of them is read.
    window.clearTimeout(this.waiting);
    this.waiting = window.setTimeout(() => void this.save(), 250);
  }

  private pull(event: PointerEvent): void {
    event.preventDefault();
    this.button.focus();
    this.button.setPointerCapture(event.pointerId);
    const move = (moved: PointerEvent): void => this.put(...under(this.stage, this.size, moved));
    const end = (): void => {
      this.button.removeEventListener("pointermove", move);
      void this.save();
    };
    this.button.addEventListener("pointermove", move);
    this.button.addEventListener("pointerup", end, { once: true });
  }
}

/** 'Set' at a field: the next click over the picture is its place; after it the next empty point is asked for. */
export class Placing {
  private wanted: HTMLInputElement | undefined;

  constructor(
    private readonly stage: HTMLElement,
    private readonly form: HTMLFormElement,
    private readonly size: Size,
    private readonly handles: Map<string, Handle>,
    private readonly save: () => Promise<void>,
    private readonly say: (words: string) => void,
  ) {
    for (const button of form.querySelectorAll<HTMLButtonElement>("[data-place]")) {
      button.addEventListener("click", (event) => this.ask(button, event));
    }
    stage.addEventListener("click", (event) => this.click(event));
    document.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || !this.wanted) return;
      this.want(undefined);
      this.say("No point is asked for.");
    });
  }

  /** What is asked for now, in words; nothing where all are set. */
  next(): string | undefined {
    return this.wanted ? this.words(this.wanted) : undefined;
  }

  private ask(button: HTMLButtonElement, event: MouseEvent): void {
    const field = this.form.elements.namedItem(button.dataset["place"] ?? "");
    if (!(field instanceof HTMLInputElement)) return;
    // Pressed by a key: the point stands in the middle and is moved by the arrow keys.
    const handle = this.handles.get(field.name);
    if (event.detail === 0 && handle) {
      handle.begin(this.size.width / 2, this.size.height / 2);
      this.say(`${field.dataset["handle"]}: move it with the arrow keys, Shift for ten at a time.`);
      return;
    }
    this.want(field);
    this.say(this.words(field));
    this.stage.scrollIntoView({ block: "nearest" });
  }

  private words(field: HTMLInputElement): string {
    const more = field.dataset["many"] === undefined ? "" : " and on each further one; Escape ends it";
    return `Click where it lies${more}: ${field.dataset["handle"]}.`;
  }

  private want(field: HTMLInputElement | undefined): void {
    this.wanted = field;
    this.stage.classList.toggle("asks", field !== undefined);
    for (const button of this.form.querySelectorAll<HTMLButtonElement>("[data-place]")) {
      button.setAttribute("aria-pressed", String(button.dataset["place"] === field?.name));
    }
  }

  private click(event: MouseEvent): void {
    const field = this.wanted;
    if (!field || (event.target as Element).closest(".capture-handle")) return;
    const [x, y] = under(this.stage, this.size, event);
    if (field.dataset["many"] !== undefined) {
      const before = field.value.trim();
      const here = text(x, y, this.size);
      field.value = before === "" || before === "none" ? here : `${before}; ${here}`;
    } else {
      this.handles.get(field.name)?.put(x, y);
      this.want(this.following(field));
    }
    void this.save();
  }

  /** The next empty point of the same foot. */
  private following(field: HTMLInputElement): HTMLInputElement | undefined {
    const group = field.closest("fieldset");
    const all = [...(group?.querySelectorAll<HTMLInputElement>("[data-handle]") ?? [])];
    return all.slice(all.indexOf(field) + 1).find((f) => f.value === "" && f.dataset["many"] === undefined);
  }
}
