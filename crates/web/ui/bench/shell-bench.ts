// The bench itself: picture, plan and section beside the form. The form's texts are the order; whatever the
// hand does becomes a text there, is asked of the server, shown, and kept a moment later.

import { type Api, type FootHead, type PreviewHead, Refusal, type Shapes, type Texts } from "./api.js";
import { Check } from "./check.js";
import { OrderForm, written } from "./form.js";
import { History } from "./history.js";
import { type Scale, legend } from "./maps.js";
import { Marks } from "./marks.js";
import { Plan } from "./plan.js";
import { Saver } from "./saver.js";
import { Stage, type View } from "./stage.js";
import { type StrengthMap, StrengthPart } from "./strength.js";
import { html } from "./svg.js";
import { ThinnestPart } from "./thinnest.js";
import { type Thing, foundTexts, id, name, nudged, pointTexts, things, trimKey, trimTexts, where } from "./things.js";

const VIEWS: [View, string, string][] = [
  ["above", "Above", "1"],
  ["inner", "Inner side", "2"],
  ["outer", "Outer side", "3"],
  ["behind", "Behind", "4"],
  ["front", "Front", "5"],
  ["below", "Below", "6"],
];

const SECTION_AFTER_MS = 220;

/** A change is answered with sheets; when the hand rests so long, the solid is made. */
const RESTS_AFTER_MS = 120;

/** Where a wall of the foot stands upright, the plan shows no way outward. */
const LEAST_WAY_PX = 0.25;

interface Drag {
  thing: Thing;
  from: [number, number];
  moved: number;
  onPlan: boolean;
}

export class ShellBench {
  readonly #form: OrderForm;
  readonly #history: History;
  readonly #saver: Saver;
  readonly #check: Check;
  readonly #strength: StrengthPart;
  readonly #thinnest: ThinnestPart;
  readonly #stage: Stage;
  readonly #marks: Marks;
  readonly #plan = new Plan();
  readonly #host = html("div", { class: "b-stage", tabindex: "0", role: "application", "aria-label": "The foot and its shell", "aria-describedby": "b-keys" });
  readonly #chooser = html("select", { id: "b-chosen" });
  readonly #where = html("span", { class: "b-where" });
  readonly #voice = html("p", { class: "b-voice", role: "status" });
  readonly #section = html("figure", { class: "b-section" });
  readonly #slider = html("input", { type: "range", id: "b-cut", min: "5", max: "200", step: "1", value: "100" });
  readonly #cutWords = html("output", { for: "b-cut" });
  readonly #map = html("select", { id: "b-map" }, html("option", { value: "" }, "none"), html("option", { value: "walls" }, "wall thickness"));
  readonly #legend = html("div", { class: "b-legend-place" });
  readonly #sent: boolean;
  #now: Shapes<PreviewHead> | null = null;
  #chosen = "point.first_head";
  #drag: Drag | null = null;
  #asking = false;
  #again = false;
  #rest = 0;
  #settling: AbortController | null = null;
  #changedAt = 0;
  #speak = 0;
  #sectionTimer = 0;
  #sectionAsked = 0;

  constructor(private readonly mount: HTMLElement, form: HTMLFormElement, private readonly api: Api, private readonly foot: Shapes<FootHead>) {
    this.#sent = mount.dataset["sent"] === "yes";
    this.#form = new OrderForm(form);
    this.#history = new History(this.#form.texts());
    const revision = form.elements.namedItem("revision");
    const undo = document.getElementById("undo-saved");
    this.#saver = new Saver(api, () => this.#form.texts(), Number(revision instanceof HTMLInputElement ? revision.value : 0), undo !== null && !undo.hidden);
    undo?.remove();
    this.#check = new Check(api, this.#saver, mount.dataset["order"] ?? "", (words) => this.#say(words));
    this.#strength = new StrengthPart(api, () => this.#form.texts());
    this.#strength.onMaps = () => this.#paint();
    this.#thinnest = new ThinnestPart(api, () => this.#form.texts());
    this.#thinnest.onTake = (texts) => this.#write(texts, "");
    this.#build(mount);
    this.#stage = new Stage(this.#host);
    this.#marks = new Marks(this.#stage);
    this.#host.append(this.#marks.element);
    this.#stage.onMoved = () => this.#marks.place();
    this.#stage.showFoot(foot);
    this.#plan.showFoot(foot);
    this.#listen();
    this.#steps();
  }

  async first(): Promise<void> {
    this.#changedAt = performance.now();
    await this.#settle();
  }

  #build(mount: HTMLElement): void {
    const button = (words: string, key: string, act: () => void): HTMLElement => {
      const made = html("button", { type: "button" }, words, " ", html("kbd", {}, key));
      made.addEventListener("click", act);
      return made;
    };
    const views = html("div", { class: "b-views", role: "group", "aria-label": "Seen from" }, html("span", { class: "small quiet" }, "From"), ...VIEWS.map(([view, words, key]) => button(words, key, () => this.#stage.look(view))));
    const eye = html("div", { class: "b-eye", role: "group", "aria-label": "Turn and zoom" }, html("span", { class: "small quiet" }, "Turn"), button("Left", "[", () => this.#stage.turn(-12, 0)), button("Right", "]", () => this.#stage.turn(12, 0)), button("Nearer", "+", () => this.#stage.zoom(1.2)), button("Farther", "-", () => this.#stage.zoom(1 / 1.2)));
    const nudge = (key: string, sign: string, words: string): HTMLElement => {
      const made = html("button", { type: "button", class: "b-nudge", "aria-label": words }, sign);
      made.addEventListener("click", (e) => this.#nudge(key, e.shiftKey));
      return made;
    };
    const move = html(
      "div",
      { class: "b-move" },
      html("label", { for: "b-chosen" }, "Move"),
      this.#chooser,
      html("span", { class: "b-nudges" }, nudge("ArrowUp", "↑", "Forward, or outward, by a tenth"), nudge("ArrowDown", "↓", "Back, or inward, by a tenth"), nudge("ArrowLeft", "←", "To the left by a tenth"), nudge("ArrowRight", "→", "To the right by a tenth")),
      button("Put back", "Del", () => this.#putBack()),
    );
    const maps = html("div", { class: "b-maps" }, html("label", { for: "b-map" }, "Map"), this.#map);
    const keys = html("p", { id: "b-keys", class: "small quiet b-keys" }, "Arrow keys move what is chosen by a tenth of a millimetre, with Shift by one; N and P choose the next and the one before, Del puts it back where it was found; Z and Y undo and redo. The pointer drags marks; elsewhere it turns the picture.");
    const cut = html("div", { class: "b-cut" }, html("label", { for: "b-cut" }, "Section, from the rear"), this.#slider, this.#cutWords);
    this.#plan.element.setAttribute("aria-label", "The device from above");
    this.#plan.element.setAttribute("aria-describedby", "b-keys");
    if (this.#sent) move.hidden = true;
    // What is chosen, and what a map's colours mean, stand in the picture's corners: they belong to it.
    this.#host.append(this.#voice, this.#where, this.#legend);
    const tools = html("div", { class: "b-tools" }, html("div", { class: "b-row" }, views, maps), html("div", { class: "b-row" }, eye, move));
    mount.append(html("div", { class: "b-board" }, tools, html("figure", { class: "b-plan-place" }, this.#plan.element, html("figcaption", {}, "From above")), this.#host, html("div", { class: "b-section-place" }, this.#section, cut)), keys);
  }

  #listen(): void {
    this.#form.onChange = (field, settled) => this.#changed(settled ? "" : `field:${field}`);
    this.#chooser.addEventListener("change", () => this.#choose(this.#chooser.value));
    this.#map.addEventListener("change", () => this.#paint());
    this.#slider.addEventListener("input", () => this.#cutMoved());
    for (const place of [this.#host, this.#plan.element]) {
      place.addEventListener("keydown", (e) => this.#key(e as KeyboardEvent));
      place.addEventListener("pointermove", (e) => this.#dragged(e as PointerEvent));
      place.addEventListener("pointerup", () => this.#dropped());
      place.addEventListener("pointercancel", () => this.#dropped());
    }
    // Before the picture's own turning takes the pointer.
    this.#host.addEventListener("pointerdown", (e) => this.#taken(e, this.#marks.near(...this.#onHost(e)), false), { capture: true });
    this.#plan.element.addEventListener("pointerdown", (e) => {
      const hit = e.target instanceof Element ? e.target.closest<SVGElement>("[data-thing]") : null;
      this.#taken(e, this.#thing(hit?.dataset["thing"] ?? ""), true);
    });
    for (const step of document.querySelectorAll<HTMLButtonElement>("[data-step]")) step.addEventListener("click", () => void (step.dataset["step"] === "undo" ? this.#undo() : this.#redo()));
    this.#saver.onSaved = (saved, sent) => {
      this.#tellSaved(saved.words);
      // The server fills in what was left open; only where nothing was typed since.
      if (JSON.stringify(sent) === JSON.stringify(this.#form.texts())) {
        this.#form.put(saved.texts);
        this.#history.amend(this.#form.texts());
      }
      this.#steps();
    };
    this.#saver.onFault = (fault) => {
      this.#tellSaved(`Not saved: ${fault.message}`, true);
      if (fault.field) this.#form.fault(fault.field, fault.message);
    };
    this.#saver.onWaiting = () => this.#tellSaved("Saving …");
  }

  #tellSaved(words: string, bad = false): void {
    const place = document.getElementById("saved");
    if (!place) return;
    if (place.textContent !== words) place.textContent = words;
    place.classList.toggle("fault", bad);
  }

  #say(words: string): void {
    if (this.#voice.textContent !== words) this.#voice.textContent = words;
  }

  // What changes

  /** The form holds something new. */
  #changed(run: string): void {
    if (this.#sent) return;
    this.#changedAt = performance.now();
    this.#history.step(this.#form.texts(), run);
    this.#saver.changed();
    this.#check.outdated();
    this.#strength.outdated();
    this.#thinnest.outdated();
    this.#steps();
    void this.#ask();
  }

  /** The hand writes into the form. */
  #write(texts: Texts, run: string): void {
    this.#form.put(texts);
    this.#changed(run);
  }

  async #ask(): Promise<void> {
    window.clearTimeout(this.#rest);
    this.#settling?.abort();
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    let made = false;
    do {
      this.#again = false;
      const since = this.#changedAt;
      try {
        const shapes = await this.api.preview(this.#form.texts(), true);
        this.#form.clearFaults();
        made = true;
        if (shapes) this.#show(shapes, since);
      } catch (fault) {
        if (!(fault instanceof Refusal)) throw fault;
        made = false;
        this.#form.clearFaults();
        this.#form.fault(fault.field, fault.message);
      }
    } while (this.#again);
    this.#asking = false;
    // What was refused would be refused again.
    if (made) this.#rest = window.setTimeout(() => void this.#settle(), RESTS_AFTER_MS);
  }

  /** The hand rests: the solid itself, also while a mark is still held; given up when the hand moves on. */
  async #settle(): Promise<void> {
    const since = this.#changedAt;
    const stop = new AbortController();
    this.#settling = stop;
    try {
      const shapes = await this.api.preview(this.#form.texts(), false, stop.signal);
      if (shapes && !stop.signal.aborted) this.#show(shapes, since, "solid");
    } catch (fault) {
      if (stop.signal.aborted) return;
      if (!(fault instanceof Refusal)) throw fault;
      this.#form.fault(fault.field, fault.message);
    }
  }

  #show(shapes: Shapes<PreviewHead>, since: number, measured = "preview"): void {
    this.#now = shapes;
    const head = shapes.head;
    this.mount.dataset["drawn"] = head.led ? "sheets" : "solid";
    if (!this.#again) this.#history.amend(this.#form.points(head.points));
    this.#paint();
    this.#stage.drawn();
    this.#choices();
    this.#form.limits(head.limits);
    this.#check.show(head);
    this.#sectionSoon();
    requestAnimationFrame(() => performance.measure(measured, { start: since }));
  }

  #paint(): void {
    const now = this.#now;
    if (!now) return;
    const shell = now.bodies.find((b) => b.part === "shell");
    const [low, high] = now.head.walls;
    const maps = this.#strength.maps(shell ? shell.corners.length / 3 : 0);
    this.#mapChoices(maps);
    const walls: Scale = { title: "Wall of the shell, posts not counted", unit: "mm", low, high };
    const chosen = maps.find((m) => m.key === this.#map.value);
    const map = chosen ?? (this.#map.value === "walls" ? { scale: walls, values: shell?.walls ?? null } : null);
    this.#legend.replaceChildren(...(map ? [legend(map.scale)] : []));
    this.#stage.showDevice(now, map);
    this.#marked();
  }

  /** Maps of strength are there only for the device they were computed on. */
  #mapChoices(maps: StrengthMap[]): void {
    const before = this.#map.value;
    const there = maps.map((m) => m.key).join();
    if (this.#map.dataset["there"] === there) return;
    this.#map.dataset["there"] = there;
    this.#map.replaceChildren(html("option", { value: "" }, "none"), html("option", { value: "walls" }, "wall thickness"), ...maps.map((m) => html("option", { value: m.key }, m.words)));
    this.#map.value = before;
    if (this.#map.value !== before) this.#map.value = "";
  }

  #rear(): number {
    return Math.min(...(this.#now?.head.rim ?? []).map((p) => p[0]), Infinity) - (this.#now?.head.walls[0] ?? 0);
  }

  #marked(): void {
    const head = this.#now?.head;
    if (!head) return;
    this.#marks.show(things(head), this.#chosen);
    this.#plan.show(head, this.#chosen, this.#rear());
    if (head.sizes) this.#slider.max = String(Math.floor(head.sizes.length_mm - 12));
    this.#cutShown();
  }

  /** The list of what can be moved; made anew only where it changed. */
  #choices(): void {
    const all = this.#now ? things(this.#now.head) : [];
    if (this.#chooser.options.length !== all.length) {
      const group = (label: string, kind: string): HTMLElement => html("optgroup", { label }, ...all.filter((t) => t.kind === kind).map((t) => html("option", { value: id(t) }, name(t))));
      this.#chooser.replaceChildren(group("Points", "point"), group("Trim line", "trim"));
    }
    this.#chooser.value = this.#chosen;
    const thing = this.#thing(this.#chosen);
    this.#where.textContent = thing ? `${name(thing)}: ${where(thing)}` : "";
  }

  #thing(key: string): Thing | null {
    const head = this.#now?.head;
    return (head && things(head).find((t) => id(t) === key)) ?? null;
  }

  #choose(key: string): void {
    this.#history.settle();
    this.#chosen = key;
    this.#marked();
    this.#choices();
    const thing = this.#thing(key);
    if (thing) this.#say(`${name(thing)}: ${where(thing)}.`);
  }

  // Undo

  #steps(): void {
    const can = { undo: !this.#sent && (this.#history.canUndo || this.#saver.canUndo), redo: this.#history.canRedo };
    for (const step of document.querySelectorAll<HTMLButtonElement>("[data-step]")) step.disabled = !can[step.dataset["step"] as "undo" | "redo"];
  }

  async #undo(): Promise<void> {
    const texts = this.#history.undo();
    if (texts) {
      this.#stepTo(texts, "Undone.");
      return;
    }
    if (!this.#saver.canUndo) return;
    // Earlier than this page was opened: the saved revisions go on.
    const saved = await this.#saver.back();
    if (!saved) return;
    this.#form.put(saved);
    this.#history.amend(this.#form.texts());
    this.#changedAt = performance.now();
    this.#say("Taken back to the save before.");
    void this.#ask();
  }

  #redo(): void {
    const texts = this.#history.redo();
    if (texts) this.#stepTo(texts, "Done again.");
  }

  #stepTo(texts: Texts, words: string): void {
    this.#form.put(texts);
    this.#changedAt = performance.now();
    this.#saver.changed();
    this.#check.outdated();
    this.#strength.outdated();
    this.#thinnest.outdated();
    this.#steps();
    this.#say(words);
    void this.#ask();
  }

  // The hand

  #onHost(e: PointerEvent): [number, number] {
    const box = this.#host.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  }

  #taken(e: PointerEvent, thing: Thing | null, onPlan: boolean): void {
    if (!thing || e.button !== 0) return;
    e.preventDefault();
    e.stopPropagation();
    const place = onPlan ? this.#plan.element : this.#host;
    place.focus({ preventScroll: true });
    this.#choose(id(thing));
    if (this.#sent) return;
    place.setPointerCapture(e.pointerId);
    this.#stage.hold(true);
    const texts = this.#form.texts();
    const moved = thing.kind === "trim" ? Number(texts[trimKey(thing.handle.station)] || 0) : 0;
    this.#drag = { thing, from: [e.clientX, e.clientY], moved, onPlan };
  }

  #dragged(e: PointerEvent): void {
    const drag = this.#drag;
    if (!drag) return;
    const { thing } = drag;
    const run = `drag:${id(thing)}`;
    const delta: [number, number] = [e.clientX - drag.from[0], e.clientY - drag.from[1]];
    if (thing.kind === "trim") {
      const by = this.#outward(thing, delta, drag.onPlan);
      if (by === null) this.#say("Here the edge runs toward you; drag it in another view, or use the arrow keys.");
      else this.#write(trimTexts(thing.handle, drag.moved + by), run);
      return;
    }
    const side = this.foot.head.side;
    if (drag.onPlan) {
      const [dx, dy] = this.#plan.move(...delta);
      const [x, y, z] = thing.point.at;
      this.#write(pointTexts(thing.point.key, side, [x + dx, y + dy, z]), run);
      return;
    }
    // Under the pointer lie the back of the foot and its sole; the sole's points take the lower.
    const hits = this.#stage.onFoot(...this.#onHost(e));
    const hit = thing.point.key === "navicular" ? hits[0] : hits.reduce<(typeof hits)[number] | undefined>((a, b) => (a && a[2] <= b[2] ? a : b), undefined);
    if (hit) this.#write(pointTexts(thing.point.key, side, hit), run);
  }

  /** Millimetres outward for a move of the pointer; null where the way outward cannot be seen. */
  #outward(thing: Extract<Thing, { kind: "trim" }>, [dx, dy]: [number, number], onPlan: boolean): number | null {
    const { at: from, out } = thing.handle;
    if (onPlan) {
      const [mx, my] = this.#plan.move(dx, dy);
      const flat = out[0] ** 2 + out[1] ** 2;
      return flat < LEAST_WAY_PX ? null : (mx * out[0] + my * out[1]) / flat;
    }
    const a = this.#stage.onCanvas(from);
    const b = this.#stage.onCanvas([from[0] + 10 * out[0], from[1] + 10 * out[1], from[2] + 10 * out[2]]);
    const way: [number, number] = [(b[0] - a[0]) / 10, (b[1] - a[1]) / 10];
    const long = way[0] ** 2 + way[1] ** 2;
    return long < LEAST_WAY_PX ? null : (dx * way[0] + dy * way[1]) / long;
  }

  #dropped(): void {
    if (!this.#drag) return;
    this.#drag = null;
    this.#stage.hold(false);
    this.#history.settle();
    this.#speakSoon();
  }

  #key(e: KeyboardEvent): void {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const view = VIEWS.find(([, , key]) => key === e.key);
    const all = this.#now ? things(this.#now.head) : [];
    const next = (by: number): void => {
      const place = all.findIndex((t) => id(t) === this.#chosen);
      const thing = all[(place + by + all.length) % all.length];
      if (thing) this.#choose(id(thing));
    };
    const acts: Record<string, () => void> = {
      n: () => next(1),
      p: () => next(-1),
      z: () => void this.#undo(),
      y: () => this.#redo(),
      delete: () => this.#putBack(),
      "[": () => this.#stage.turn(-12, 0),
      "]": () => this.#stage.turn(12, 0),
      "+": () => this.#stage.zoom(1.2),
      "-": () => this.#stage.zoom(1 / 1.2),
    };
    const act = view ? () => this.#stage.look(view[0]) : acts[e.key.toLowerCase()];
    if (act) {
      e.preventDefault();
      act();
    } else if (this.#nudge(e.key, e.shiftKey)) {
      e.preventDefault();
    }
  }

  #putBack(): void {
    const thing = this.#thing(this.#chosen);
    if (!thing || this.#sent) return;
    this.#history.settle();
    this.#write(foundTexts(thing), "");
    this.#say(`${name(thing)}: put back.`);
  }

  #nudge(key: string, whole: boolean): boolean {
    const thing = this.#thing(this.#chosen);
    if (!thing || this.#sent) return false;
    const texts = nudged(thing, key, whole ? 1 : 0.1, this.foot.head.side, this.#form.texts());
    if (!texts) return false;
    this.#write(texts, `nudge:${this.#chosen}`);
    this.#speakSoon();
    return true;
  }

  /** Said once when the hand rests. */
  #speakSoon(): void {
    window.clearTimeout(this.#speak);
    this.#speak = window.setTimeout(() => {
      const thing = this.#thing(this.#chosen);
      if (thing) this.#say(`${name(thing)}: ${where(thing)}.`);
    }, 500);
  }

  // The section

  #cutMoved(): void {
    this.#cutShown();
    this.#sectionSoon(60);
  }

  #cutShown(): void {
    const along = Number(this.#slider.value);
    this.#cutWords.textContent = `${written(along, 0)} mm`;
    this.#stage.cutAt(along);
    this.#plan.cutAt(along);
  }

  /** When the hand rests: the drawing is for the eye, the line in the picture is for the hand. */
  #sectionSoon(after = SECTION_AFTER_MS): void {
    window.clearTimeout(this.#sectionTimer);
    this.#sectionTimer = window.setTimeout(() => (this.#drag ? this.#sectionSoon() : void this.#drawSection()), after);
  }

  async #drawSection(): Promise<void> {
    const number = ++this.#sectionAsked;
    try {
      const { svg } = await this.api.section(this.#form.texts(), Number(this.#slider.value));
      if (number !== this.#sectionAsked) return;
      const drawn = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
      withoutRuler(drawn);
      this.#section.replaceChildren(document.importNode(drawn, true));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      // The same fault stands at its field already.
    }
  }
}

/** On a screen the ruler of the paper measures nothing; without it the section is drawn larger. */
function withoutRuler(drawing: Element): void {
  const last = drawing.lastElementChild;
  const top = Number(last?.getAttribute("transform")?.match(/^translate\(\S+ ([\d.]+)\)$/)?.[1]);
  const view = drawing.getAttribute("viewBox")?.split(" ");
  if (!last?.querySelector("rect") || !view || !(top > 0)) return;
  last.remove();
  drawing.setAttribute("viewBox", `${view[0]} ${view[1]} ${view[2]} ${top}`);
  for (const size of ["width", "height"]) drawing.removeAttribute(size);
}
