// The film desk: the film large, points placed with a loupe, nudged by keys, undone; lines, arcs and
// values come from the server as one drawing. Mounts into `#desk[data-film]`; without script the page
// below it works by itself.

import "./desk.css";
import { Desk, Refusal } from "./api.js";
import type { FilmMeta, Overlay, Proposal } from "./api.js";
import { History } from "./history.js";
import { lightBox } from "./light.js";
import type { Light, Look, Loupe, Place } from "./light.js";
import { Panel } from "./panel.js";
import { shownFromStored, shownSize, storedFromShown } from "./turn.js";
import type { Point, Size, Turn } from "./turn.js";

const LOUPE_RADIUS = 82;
const LOUPE_POWER = 4;
const REACH = 18; // CSS pixels within which a press takes hold of a point

type Hold =
  | { kind: "point"; key: string; from: Point }
  | { kind: "pan"; from: Point; place: Place }
  | { kind: "grey"; from: Point; look: Look }
  | { kind: "pinch"; distance: number; middle: Point; place: Place };

class FilmDesk {
  readonly #desk: Desk;
  readonly #meta: FilmMeta;
  readonly #light: Light;
  readonly #stage: HTMLElement;
  readonly #canvas: HTMLCanvasElement;
  readonly #over: HTMLElement;
  readonly #marks: SVGSVGElement;
  readonly #tag: HTMLElement;
  readonly #panel: Panel;
  readonly #history: History;
  readonly #size: Size;
  #turn: Turn;
  #look: Look;
  #place: Place = { zoom: 1, x: 0, y: 0 };
  #active: string | null = null;
  #pointer: Point | null = null; // on the stage, CSS pixels
  #holds = new Map<number, Point>();
  #hold: Hold | null = null;
  #loupe = false;
  #frame = 0;
  #asking = false;
  #askAgain: number | null = null;
  #overlay: Overlay | null = null;
  #overlayZoom = 1;
  #pointsId: string | null;
  #finished: boolean;
  #saveTimer = 0;
  #gather: { want: "circle" | "axis"; points: Point[] } | null = null;
  #proposal: Proposal | null = null;

  constructor(mount: HTMLElement, desk: Desk, meta: FilmMeta, grey: Uint8Array) {
    this.#desk = desk;
    this.#meta = meta;
    this.#size = { width: meta.width, height: meta.height };
    this.#turn = { ...meta.turn };
    this.#look = { centre: meta.window.centre, width: meta.window.width, inverted: false };
    this.#pointsId = meta.points_id;
    this.#finished = meta.finished;
    this.#history = new History(new Map(Object.entries(meta.points)));

    this.#stage = document.createElement("div");
    this.#stage.className = "desk-stage";
    this.#stage.tabIndex = 0;
    this.#stage.setAttribute("role", "application");
    this.#stage.setAttribute("aria-label", `Film: ${meta.title}. Arrow keys move the named point by a tenth of a pixel, Enter places it, N goes to the next one.`);
    this.#canvas = document.createElement("canvas");
    this.#over = document.createElement("div");
    this.#over.className = "desk-over";
    this.#marks = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    this.#marks.setAttribute("class", "desk-marks");
    this.#marks.setAttribute("aria-hidden", "true");
    this.#tag = document.createElement("p");
    this.#tag.className = "desk-tag";
    this.#tag.hidden = true;
    this.#stage.append(this.#canvas, this.#over, this.#marks, this.#tag);

    this.#panel = new Panel(meta, {
      choose: (key) => this.#choose(key),
      remove: (key) => this.#remove(key),
      press: (key) => this.#press(key, false),
      accept: (yes) => this.#answerProposal(yes),
      compare: (id) => this.#compare(id),
    });
    mount.replaceChildren(this.#stage, this.#panel.tools, this.#panel.side);
    // Film and tools fill the window below whatever stands above them.
    mount.style.setProperty("--desk-top", `${Math.round(mount.getBoundingClientRect().top + window.scrollY) + 4}px`);
    this.#light = lightBox(this.#canvas, grey, this.#size);
    this.#fit();
    this.#listen();
    this.#choose(this.#nextMissing(null));
    this.#repaint();
    this.#ask(performance.now());
  }

  // ---- where things are -------------------------------------------------------------------------

  #shownFromStage([x, y]: Point): Point {
    return [(x - this.#place.x) / this.#place.zoom, (y - this.#place.y) / this.#place.zoom];
  }

  #stageFromShown([x, y]: Point): Point {
    return [x * this.#place.zoom + this.#place.x, y * this.#place.zoom + this.#place.y];
  }

  #stageFromStored(p: Point): Point {
    return this.#stageFromShown(shownFromStored(p, this.#size, this.#turn));
  }

  #storedFromStage(p: Point): Point {
    return storedFromShown(this.#shownFromStage(p), this.#size, this.#turn);
  }

  #fit(): void {
    const shown = shownSize(this.#size, this.#turn);
    const { clientWidth: w, clientHeight: h } = this.#stage;
    const zoom = Math.min(w / shown.width, h / shown.height) || 1;
    this.#place = { zoom, x: (w - shown.width * zoom) / 2, y: (h - shown.height * zoom) / 2 };
  }

  #zoomBy(factor: number, about: Point): void {
    const zoom = Math.min(16, Math.max(0.02, this.#place.zoom * factor));
    const f = zoom / this.#place.zoom;
    this.#place = { zoom, x: about[0] - (about[0] - this.#place.x) * f, y: about[1] - (about[1] - this.#place.y) * f };
    this.#changedView();
  }

  #changedView(): void {
    this.#repaint();
    if (Math.abs(Math.log(this.#place.zoom / this.#overlayZoom)) > 0.05) this.#ask(performance.now());
  }

  // ---- painting -----------------------------------------------------------------------------------

  #repaint(): void {
    if (this.#frame) return;
    this.#frame = requestAnimationFrame(() => {
      this.#frame = 0;
      this.#paint();
    });
  }

  #paint(): void {
    const on = this.#loupeAt();
    this.#light.draw(this.#look, this.#place, this.#turn, on);
    this.#fitOverlay();
    this.#paintMarks(on);
    if (!performance.getEntriesByName("film-painted").length) performance.mark("film-painted");
  }

  /** The lines' drawing fills the stage and shows the part of the film that the stage shows. */
  #fitOverlay(): void {
    const { zoom, x, y } = this.#place;
    const [width, height] = [this.#stage.clientWidth, this.#stage.clientHeight];
    const view = `${-x / zoom} ${-y / zoom} ${width / zoom} ${height / zoom}`;
    const svg = this.#over.firstElementChild;
    if (svg && svg.getAttribute("viewBox") !== view) svg.setAttribute("viewBox", view);
  }

  #loupeAt(): Loupe | null {
    const held = this.#hold?.kind === "point";
    if (!held && !this.#loupe) return null;
    const active = this.#active ? this.#history.now.get(this.#active) : undefined;
    const at = held || !this.#pointer ? (active ? this.#stageFromStored(active) : null) : this.#pointer;
    if (!at) return null;
    const gap = LOUPE_RADIUS + 46;
    const right = at[0] + gap + LOUPE_RADIUS < this.#stage.clientWidth;
    const low = at[1] < gap + LOUPE_RADIUS;
    const middle: Point = [right ? at[0] + gap : at[0] - gap, low ? at[1] + gap : at[1] - gap];
    return { at: middle, radius: LOUPE_RADIUS, on: this.#shownFromStage(at), power: LOUPE_POWER };
  }

  #paintMarks(loupe: Loupe | null): void {
    const parts: string[] = [];
    const cross = (p: Point, kind: string, reach: number) => {
      const [x, y] = p;
      const d = `M${x - reach} ${y}H${x - 2}M${x + 2} ${y}H${x + reach}M${x} ${y - reach}V${y - 2}M${x} ${y + 2}V${y + reach}`;
      parts.push(`<path class="edge" d="${d}"/><path class="${kind}" d="${d}"/>`);
    };
    for (const [key, point] of this.#history.now) cross(this.#stageFromStored(point), key === this.#active ? "active" : "placed", key === this.#active ? 12 : 7);
    for (const point of this.#gather?.points ?? []) cross(this.#stageFromStored(point), "gathered", 6);
    for (const point of Object.values(this.#proposal?.points ?? {})) {
      const p = this.#stageFromStored(point);
      parts.push(`<circle class="edge" cx="${p[0]}" cy="${p[1]}" r="9"/><circle class="proposed" cx="${p[0]}" cy="${p[1]}" r="9"/>`);
      cross(p, "proposed", 14);
    }
    if (loupe) cross([loupe.at[0], loupe.at[1]], "active", 16);
    this.#marks.innerHTML = parts.join("");
    const active = this.#meta.landmarks.find((l) => l.key === this.#active);
    this.#tag.hidden = !loupe || !active;
    if (loupe && active) {
      this.#tag.textContent = active.name;
      this.#tag.style.transform = `translate(${Math.max(4, loupe.at[0] - LOUPE_RADIUS)}px, ${loupe.at[1] + LOUPE_RADIUS + 6}px)`;
    }
  }

  // ---- readings -----------------------------------------------------------------------------------

  /** Asks for lines and values; one question at a time, the newest points win. */
  async #ask(since: number): Promise<void> {
    if (this.#asking) {
      this.#askAgain ??= since;
      return;
    }
    this.#asking = true;
    try {
      const zoom = this.#place.zoom;
      const overlay = await this.#desk.overlay(this.#record(), 1 / zoom, this.#active, this.#turn);
      this.#overlay = overlay;
      this.#overlayZoom = zoom;
      this.#over.innerHTML = overlay.svg;
      this.#fitOverlay();
      this.#panel.readings(overlay, this.#active);
      performance.measure("overlay", { start: since, end: performance.now() });
    } catch (fault) {
      this.#say(fault);
    } finally {
      this.#asking = false;
      if (this.#askAgain !== null) {
        const next = this.#askAgain;
        this.#askAgain = null;
        void this.#ask(next);
      }
    }
  }

  #record(): Record<string, Point> {
    return Object.fromEntries(this.#history.now);
  }

  #say(what: unknown): void {
    this.#panel.say(what instanceof Refusal || what instanceof Error ? what.message : String(what));
  }

  // ---- points -------------------------------------------------------------------------------------

  #nextMissing(after: string | null): string | null {
    const all = this.#meta.landmarks;
    const start = after ? all.findIndex((l) => l.key === after) + 1 : 0;
    const round = [...all.slice(start), ...all.slice(0, start)].filter((l) => !this.#history.now.has(l.key));
    return (round.find((l) => !l.optional) ?? round[0])?.key ?? null;
  }

  #choose(key: string | null): void {
    this.#active = key;
    this.#history.settle();
    this.#panel.points(this.#history.now, key, this.#history);
    if (this.#overlay) this.#panel.readings(this.#overlay, key);
    this.#repaint();
  }

  #put(key: string, stored: Point, run: string, since: number): void {
    if (this.#finished) {
      this.#say("This placing is finished and kept as it is; read the film again to place anew.");
      return;
    }
    const x = Math.min(this.#size.width - 1, Math.max(0, stored[0]));
    const y = Math.min(this.#size.height - 1, Math.max(0, stored[1]));
    this.#history.change(key, [Math.round(x * 100) / 100, Math.round(y * 100) / 100], run);
    this.#changedPoints(since);
  }

  #changedPoints(since: number): void {
    this.#panel.points(this.#history.now, this.#active, this.#history);
    this.#repaint();
    void this.#ask(since);
    window.clearTimeout(this.#saveTimer);
    this.#saveTimer = window.setTimeout(() => void this.#save(false), 700);
  }

  #remove(key: string): void {
    if (this.#finished || !this.#history.now.has(key)) return;
    this.#history.change(key, null);
    this.#active = key;
    this.#changedPoints(performance.now());
  }

  async #save(finished: boolean): Promise<void> {
    window.clearTimeout(this.#saveTimer);
    this.#saveTimer = 0;
    if (this.#finished) return;
    try {
      const said = await this.#desk.save(this.#record(), finished, this.#pointsId);
      this.#pointsId = said.points_id;
      this.#finished ||= finished;
      this.#panel.saved(said.words);
    } catch (fault) {
      this.#say(fault);
    }
  }

  // ---- help for the hand ----------------------------------------------------------------------------

  async #propose(question: Promise<Proposal>): Promise<void> {
    try {
      this.#proposal = await question;
      this.#panel.proposal(this.#proposal.words);
    } catch (fault) {
      this.#proposal = null;
      this.#panel.proposal(null);
      this.#say(fault);
    }
    this.#repaint();
  }

  #answerProposal(yes: boolean): void {
    const points = this.#proposal?.points ?? {};
    this.#proposal = null;
    this.#gather = null;
    this.#panel.proposal(null);
    if (yes) {
      // Only a proposal for the named point is placed; a middle line is there to look at.
      const point = points["point"];
      if (point && this.#active) this.#put(this.#active, point, "proposal", performance.now());
      this.#history.settle();
    }
    this.#repaint();
    this.#stage.focus();
  }

  #startGathering(want: "circle" | "axis"): void {
    this.#gather = { want, points: [] };
    this.#panel.say(want === "circle" ? "Mark three or more places on the rim, then press O again." : "Mark four or more places on both edges of the bone, then press X again.");
  }

  #finishGathering(): void {
    const gathered = this.#gather;
    if (!gathered) return;
    const least = gathered.want === "circle" ? 3 : 4;
    if (gathered.points.length < least) {
      this.#say(`Found ${gathered.points.length} marks; ${least} are needed.`);
      return;
    }
    void this.#propose(gathered.want === "circle" ? this.#desk.circle(this.#active ?? "", gathered.points) : this.#desk.axis(gathered.points));
  }

  async #compare(id: string): Promise<void> {
    const beside = this.#panel.beside;
    beside.hidden = id === "";
    this.#stage.classList.toggle("halved", id !== "");
    if (id !== "") {
      const picture = document.createElement("img");
      picture.src = `/film/${id}/annotated.png`;
      picture.alt = `The other film with its lines: ${this.#meta.others.find((o) => o.id === id)?.label ?? ""}`;
      beside.replaceChildren(picture);
      if (!beside.isConnected) this.#stage.after(beside);
    }
    this.#fit();
    this.#changedView();
  }

  // ---- hand and keys ----------------------------------------------------------------------------------

  #listen(): void {
    const stage = this.#stage;
    stage.addEventListener("pointerdown", (e) => this.#down(e));
    stage.addEventListener("pointermove", (e) => this.#move(e));
    stage.addEventListener("pointerup", (e) => this.#up(e));
    stage.addEventListener("pointercancel", (e) => this.#up(e));
    stage.addEventListener("contextmenu", (e) => e.preventDefault());
    stage.addEventListener("wheel", (e) => {
      e.preventDefault();
      this.#zoomBy(Math.exp(-e.deltaY * 0.0015), this.#at(e));
    }, { passive: false });
    stage.addEventListener("keydown", (e) => this.#key(e));
    new ResizeObserver(() => {
      this.#fit();
      this.#changedView();
    }).observe(stage);
    window.addEventListener("pagehide", () => {
      if (this.#saveTimer) void this.#save(false);
    });
  }

  #at(e: MouseEvent): Point {
    const box = this.#stage.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  }

  #near(at: Point): string | null {
    let best: string | null = null;
    let least = REACH;
    for (const [key, point] of this.#history.now) {
      const p = this.#stageFromStored(point);
      const away = Math.hypot(p[0] - at[0], p[1] - at[1]);
      if (away < least) [best, least] = [key, away];
    }
    return best;
  }

  #down(e: PointerEvent): void {
    const at = this.#at(e);
    this.#stage.setPointerCapture(e.pointerId);
    this.#stage.focus({ preventScroll: true });
    this.#holds.set(e.pointerId, at);
    if (this.#holds.size === 2) {
      const [a, b] = [...this.#holds.values()] as [Point, Point];
      this.#hold = { kind: "pinch", distance: Math.hypot(a[0] - b[0], a[1] - b[1]), middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], place: this.#place };
      return;
    }
    if (e.button === 2 || e.shiftKey) {
      this.#hold = { kind: "grey", from: at, look: this.#look };
      return;
    }
    if (this.#gather) {
      this.#gather.points.push(this.#storedFromStage(at));
      this.#repaint();
      return;
    }
    const key = this.#near(at);
    if (key) {
      this.#choose(key);
      this.#hold = { kind: "point", key, from: at };
    } else {
      this.#hold = { kind: "pan", from: at, place: this.#place };
    }
    this.#repaint();
  }

  #move(e: PointerEvent): void {
    const at = this.#at(e);
    this.#pointer = at;
    if (this.#holds.has(e.pointerId)) this.#holds.set(e.pointerId, at);
    const hold = this.#hold;
    if (hold?.kind === "point") {
      this.#put(hold.key, this.#storedFromStage(at), `drag ${hold.key} ${hold.from.join()}`, e.timeStamp);
    } else if (hold?.kind === "pan") {
      this.#place = { ...hold.place, x: hold.place.x + at[0] - hold.from[0], y: hold.place.y + at[1] - hold.from[1] };
      this.#repaint();
    } else if (hold?.kind === "grey") {
      const width = hold.look.width * Math.exp((at[0] - hold.from[0]) / 240);
      this.#look = { ...hold.look, width: Math.min(4, Math.max(0.004, width)), centre: hold.look.centre - ((at[1] - hold.from[1]) / 600) * hold.look.width };
      this.#repaint();
    } else if (hold?.kind === "pinch" && this.#holds.size === 2) {
      const [a, b] = [...this.#holds.values()] as [Point, Point];
      const middle: Point = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      const zoom = Math.min(16, Math.max(0.02, (hold.place.zoom * Math.hypot(a[0] - b[0], a[1] - b[1])) / Math.max(1, hold.distance)));
      const f = zoom / hold.place.zoom;
      this.#place = { zoom, x: middle[0] - (hold.middle[0] - hold.place.x) * f, y: middle[1] - (hold.middle[1] - hold.place.y) * f };
      this.#changedView();
    } else if (this.#loupe) {
      this.#repaint();
    }
  }

  #up(e: PointerEvent): void {
    const at = this.#at(e);
    this.#holds.delete(e.pointerId);
    const hold = this.#hold;
    this.#hold = null;
    this.#history.settle();
    const still = hold?.kind === "pan" && Math.hypot(at[0] - hold.from[0], at[1] - hold.from[1]) < 4;
    if (still && e.type === "pointerup" && this.#active && !this.#history.now.has(this.#active)) {
      const key = this.#active;
      this.#put(key, this.#storedFromStage(at), "", e.timeStamp);
      this.#choose(this.#nextMissing(key) ?? key);
    }
    this.#repaint();
  }

  #key(e: KeyboardEvent): void {
    if (e.altKey && e.key.startsWith("Arrow")) {
      const step = 60;
      const by: Record<string, Point> = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
      const d = by[e.key] ?? [0, 0];
      this.#place = { ...this.#place, x: this.#place.x + d[0], y: this.#place.y + d[1] };
      this.#repaint();
      e.preventDefault();
      return;
    }
    if (e.key.startsWith("Arrow")) {
      this.#nudge(e);
      e.preventDefault();
      return;
    }
    const name = (e.ctrlKey || e.metaKey ? "Ctrl+" : "") + (e.key.length === 1 ? e.key.toUpperCase() : e.key);
    if (this.#press(name, e.shiftKey)) e.preventDefault();
  }

  #nudge(e: KeyboardEvent): void {
    const key = this.#active;
    const point = key ? this.#history.now.get(key) : undefined;
    if (!key || !point) {
      this.#say("Press Enter to place the point in the middle, then move it with the arrow keys.");
      return;
    }
    const step = e.ctrlKey ? 10 : e.shiftKey ? 1 : 0.1;
    const by: Record<string, Point> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const d = by[e.key] ?? [0, 0];
    const shown = shownFromStored(point, this.#size, this.#turn);
    this.#put(key, storedFromShown([shown[0] + d[0], shown[1] + d[1]], this.#size, this.#turn), `nudge ${key}`, e.timeStamp);
  }

  /** What a key or its button does; true where there is such a key. */
  #press(name: string, shift: boolean): boolean {
    const middle: Point = [this.#stage.clientWidth / 2, this.#stage.clientHeight / 2];
    const all = this.#meta.landmarks;
    const step = (by: number) => {
      const at = all.findIndex((l) => l.key === this.#active);
      this.#choose(all[(at + by + all.length) % all.length]?.key ?? null);
    };
    switch (name) {
      case "N": step(1); return true;
      case "P": step(-1); return true;
      case "Enter":
        if (this.#proposal) this.#answerProposal(true);
        else if (this.#active && !this.#history.now.has(this.#active)) this.#put(this.#active, this.#storedFromStage(this.#loupe && this.#pointer ? this.#pointer : middle), "", performance.now());
        else this.#choose(this.#nextMissing(this.#active));
        return true;
      case "Escape":
        this.#answerProposal(false);
        return true;
      case "Delete":
      case "Backspace":
        if (this.#active) this.#remove(this.#active);
        return true;
      case "Z":
      case "Ctrl+Z":
        if (shift ? this.#history.redo() : this.#history.undo()) this.#changedPoints(performance.now());
        return true;
      case "Y":
      case "Ctrl+Y":
        if (this.#history.redo()) this.#changedPoints(performance.now());
        return true;
      case "Ctrl+S":
      case "S": void this.#save(false); return true;
      case "F": void this.#save(true); return true;
      case "+":
      case "=": this.#zoomBy(1.25, middle); return true;
      case "-": this.#zoomBy(0.8, middle); return true;
      case "0": this.#fit(); this.#changedView(); return true;
      case "G": this.#look = { centre: this.#meta.window.centre, width: this.#meta.window.width, inverted: false }; this.#repaint(); return true;
      case "[": this.#look = { ...this.#look, width: Math.max(0.004, this.#look.width / 1.1) }; this.#repaint(); return true;
      case "]": this.#look = { ...this.#look, width: Math.min(4, this.#look.width * 1.1) }; this.#repaint(); return true;
      case ",": this.#look = { ...this.#look, centre: this.#look.centre + this.#look.width * 0.04 }; this.#repaint(); return true;
      case ".": this.#look = { ...this.#look, centre: this.#look.centre - this.#look.width * 0.04 }; this.#repaint(); return true;
      case "I": this.#look = { ...this.#look, inverted: !this.#look.inverted }; this.#repaint(); return true;
      case "L": this.#loupe = !this.#loupe; this.#repaint(); return true;
      case "T": this.#setTurn({ ...this.#turn, quarter_turns: (this.#turn.quarter_turns + 1) % 4 }); return true;
      case "M": this.#setTurn({ quarter_turns: this.#turn.quarter_turns % 2 === 0 ? this.#turn.quarter_turns : (this.#turn.quarter_turns + 2) % 4, mirrored: !this.#turn.mirrored }); return true;
      case "E": {
        const point = this.#active ? this.#history.now.get(this.#active) : undefined;
        if (point) void this.#propose(this.#desk.snap(point));
        else this.#say("Place the point first; then it can look for the nearest strong edge.");
        return true;
      }
      case "O": if (this.#gather?.want === "circle") this.#finishGathering(); else this.#startGathering("circle"); return true;
      case "X": if (this.#gather?.want === "axis") this.#finishGathering(); else this.#startGathering("axis"); return true;
      default: return false;
    }
  }

  #setTurn(turn: Turn): void {
    this.#turn = turn;
    this.#fit();
    this.#repaint();
    void this.#ask(performance.now());
    this.#desk.turn(turn).then((said) => this.#panel.saved(said.words), (fault) => this.#say(fault));
  }
}

async function start(mount: HTMLElement): Promise<void> {
  const desk = new Desk(mount.dataset["film"] ?? "");
  const word = mount.querySelector("[data-progress]");
  // A film that is here at once is not announced, and a slow one not with every piece of it.
  let said = performance.now();
  try {
    const [meta, grey] = await Promise.all([
      desk.meta(mount.dataset["again"] === "yes"),
      desk.grey((share) => {
        if (!word || performance.now() - said < 400) return;
        said = performance.now();
        word.textContent = `Loading the film: ${Math.round(100 * share)} %`;
      }),
    ]);
    new FilmDesk(mount, desk, meta, grey);
    mount.dataset["state"] = "ready";
    document.documentElement.classList.add("desk-live");
  } catch (fault) {
    mount.dataset["state"] = "failed";
    if (word) word.textContent = fault instanceof Error ? fault.message : "The film desk could not start; the points can be typed in below.";
  }
}

const mount = document.getElementById("desk");
if (mount) void start(mount);
