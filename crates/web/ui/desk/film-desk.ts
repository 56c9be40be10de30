// The film desk: the film large, points placed with a loupe, nudged by keys, undone; lines, arcs and
// values come from the server as one drawing.

import { Ahead } from "./ahead.js";
import { Refusal } from "./api.js";
import type { Desk, FilmMeta, List, Proposal, ScaleWish } from "./api.js";
import { GATHERINGS } from "./gather.js";
import type { Gathering, Want } from "./gather.js";
import { GLASS_RADIUS, Glass } from "./glass.js";
import { History } from "./history.js";
import { lightBox } from "./light.js";
import type { Grey, Light, Look, Place } from "./light.js";
import { Marks } from "./marks.js";
import { drawing, morph } from "./morph.js";
import { Panel } from "./panel.js";
import { shownFromStored, shownSize, storedFromShown, towards } from "./turn.js";
import type { Point, Size, Turn } from "./turn.js";

const GLASS_POWER = 4;
const MOST_UNDER_WAY = 2;
const LIST_EVERY_MS = 150;
const LINES_LATE_MS = 30;
const LED_EVERY_MS = 4; // a mouse may tell of its moves more often than the lines can be led
const STILL = 4; // CSS pixels that a press may slip and be a press
const REACH = 18; // CSS pixels within which a press takes hold of a point

type Hold =
  // A press beside a placed point may mean the point that is wanted next: it stays so until the hand moves.
  | { kind: "point"; key: string; from: Point; wanted: string | null }
  | { kind: "pan"; from: Point; place: Place }
  | { kind: "grey"; from: Point; look: Look }
  | { kind: "pinch"; distance: number; middle: Point; place: Place };

export class FilmDesk {
  readonly #desk: Desk;
  readonly #meta: FilmMeta;
  readonly #light: Light;
  readonly #glass: Glass;
  readonly #stage: HTMLElement;
  readonly #canvas: HTMLCanvasElement;
  readonly #over: HTMLElement;
  readonly #marks: SVGSVGElement;
  readonly #tag: HTMLElement;
  readonly #panel: Panel;
  readonly #history: History;
  readonly #ahead = new Ahead();
  readonly #size: Size;
  #turn: Turn;
  #look: Look;
  #place: Place = { zoom: 1, x: 0, y: 0 };
  // The stage's size and corner, measured when they can have changed and not at every move.
  #room: Size = { width: 1, height: 1 };
  #corner: Point = [0, 0];
  #active: string | null = null;
  #pointer: Point | null = null; // on the stage, CSS pixels
  #holds = new Map<number, Point>();
  #hold: Hold | null = null;
  #loupe = false;
  #frame = 0;
  #late = 0;
  #ledAt = 0;
  #asked = 0;
  #answered = 0;
  #underWay = 0;
  #askAgain: { since: number; led: boolean } | null = null;
  #list: List | null = null;
  #listAsked = 0;
  #overlayZoom = 1;
  #pointsId: string | null;
  #finished: boolean;
  #saveTimer = 0;
  #gather: Gathering | null = null;
  #proposal: Proposal | null = null;

  constructor(mount: HTMLElement, desk: Desk, meta: FilmMeta) {
    this.#desk = desk;
    this.#meta = meta;
    this.#size = { width: meta.width, height: meta.height };
    this.#turn = { ...meta.turn };
    this.#look = { centre: meta.window.centre, width: meta.window.width, inverted: false };
    this.#pointsId = meta.points_id;
    this.#finished = meta.finished;
    this.#history = new History(new Map(Object.entries(meta.points)), meta.scale_wish);

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
    this.#glass = new Glass(this.#size);
    this.#stage.append(this.#canvas, this.#over, this.#glass.canvas, this.#marks, this.#tag);

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
    this.#light = lightBox(this.#canvas, this.#size);
    this.#fit();
    this.#listen();
    this.#choose(this.#nextMissing(null));
    void this.#ask(performance.now());
  }

  /** The coarse picture, painted at once; every pixel follows. */
  show(coarse: Grey): void {
    this.#take(coarse);
    this.#paint();
    performance.mark("film-painted");
    if (coarse.step > 1) void this.#sharpen();
    else performance.mark("film-sharp");
  }

  /** A fault told beside the film. */
  tell(fault: unknown): void {
    this.#say(fault);
  }

  #take(grey: Grey): void {
    this.#light.take(grey);
    this.#glass.take(grey);
  }

  /** Every pixel comes after the first look; until then the glass shows the coarse picture. */
  async #sharpen(): Promise<void> {
    const word = document.createElement("p");
    word.className = "desk-sharpening";
    word.setAttribute("aria-live", "polite");
    const started = performance.now();
    try {
      const grey = await this.#desk.grey((share) => {
        if (performance.now() - started < 1000) return;
        if (!word.isConnected) this.#stage.append(word);
        const tenth = `Full detail: ${10 * Math.round(10 * share)} %`;
        if (word.textContent !== tenth) word.textContent = tenth;
      });
      this.#take(grey);
      performance.mark("film-sharp");
      this.#repaint();
    } catch (fault) {
      this.#say(fault);
    } finally {
      word.remove();
    }
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

  #measure(): void {
    const { left, top } = this.#stage.getBoundingClientRect();
    this.#corner = [left, top];
    this.#room = { width: this.#stage.clientWidth, height: this.#stage.clientHeight };
  }

  #fit(): void {
    const shown = shownSize(this.#size, this.#turn);
    this.#measure();
    const { width: w, height: h } = this.#room;
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
    window.clearTimeout(this.#late);
    this.#late = 0;
    this.#lead();
    this.#light.draw(this.#look, this.#place, this.#turn, this.#room);
    this.#fitOverlay();
    const under = this.#underGlass();
    const middle = under && this.#glassBeside(under);
    if (under && middle) this.#glass.show(middle, this.#shownFromStage(under), this.#place.zoom * GLASS_POWER, this.#look, this.#turn);
    else this.#glass.hide();
    this.#paintMarks(middle);
  }

  /** The lines' drawing fills the stage and shows the part of the film that the stage shows. */
  #fitOverlay(): void {
    const { zoom, x, y } = this.#place;
    const { width, height } = this.#room;
    const view = `${-x / zoom} ${-y / zoom} ${width / zoom} ${height / zoom}`;
    const svg = this.#over.firstElementChild;
    if (svg && svg.getAttribute("viewBox") !== view) svg.setAttribute("viewBox", view);
  }

  /** The place on the stage that the glass shows, if it is out: the held point, the mark, or the pointer. */
  #underGlass(): Point | null {
    const held = this.#hold?.kind === "point";
    if (!held && !this.#loupe) return null;
    if (this.#gather?.byKey) return this.#stageFromStored(this.#gather.cursor);
    if (!held && this.#pointer) return this.#pointer;
    const active = this.#active ? this.#history.now.get(this.#active) : undefined;
    return active ? this.#stageFromStored(active) : null;
  }

  #glassBeside(at: Point): Point {
    const gap = GLASS_RADIUS + 46;
    const right = at[0] + gap + GLASS_RADIUS < this.#room.width;
    const low = at[1] < gap + GLASS_RADIUS;
    return [right ? at[0] + gap : at[0] - gap, low ? at[1] + gap : at[1] - gap];
  }

  #paintMarks(glass: Point | null): void {
    const marks = new Marks();
    const at = (p: Point) => this.#stageFromStored(p);
    for (const [key, point] of this.#history.now) marks.cross(at(point), key === this.#active ? "active" : "placed", key === this.#active ? 12 : 7);
    if (this.#gather) {
      for (const point of this.#gather.points) marks.cross(at(point), "gathered", 6);
      marks.cross(at(this.#gather.cursor), "active", 12);
    }
    const { circle, line, points } = this.#proposal ?? {};
    if (circle) marks.ring(at(circle.centre), "proposed", circle.radius * this.#place.zoom);
    if (line) marks.line(at(line.from), at(line.to), "proposed");
    for (const point of Object.values(points ?? {})) {
      marks.ring(at(point), "proposed", 9);
      marks.cross(at(point), "proposed", 14);
    }
    if (glass) marks.cross(glass, "active", 16);
    const wanted = drawing(marks.svg());
    if (wanted) morph(this.#marks, wanted, ["class", "aria-hidden"]);
    const active = this.#meta.landmarks.find((l) => l.key === this.#active);
    this.#tag.hidden = !glass || !active;
    if (glass && active) {
      if (this.#tag.textContent !== active.name) this.#tag.textContent = active.name;
      this.#tag.style.transform = `translate(${Math.max(4, glass[0] - GLASS_RADIUS)}px, ${glass[1] + GLASS_RADIUS + 6}px)`;
    }
  }

  // ---- readings -----------------------------------------------------------------------------------

  /** Asks for lines and values; the newest points win. A point in motion asks for the list beside the film
   * and for its lines' rates only now and then: the eye is on the lines, whose values stand at their arcs.
   * `led`: the lines were moved ahead already and are put right by the answer. */
  async #ask(since: number, led = false): Promise<void> {
    if (this.#underWay >= MOST_UNDER_WAY) {
      this.#askAgain ??= { since, led };
      return;
    }
    const number = ++this.#asked;
    this.#underWay++;
    try {
      const zoom = this.#place.zoom;
      const active = this.#active;
      const at = (active && this.#history.now.get(active)) || null;
      const lines_only = this.#hold?.kind === "point" && performance.now() - this.#listAsked < LIST_EVERY_MS;
      if (!lines_only) this.#listAsked = performance.now();
      const overlay = await this.#desk.overlay({ points: this.#record(), pen: 1 / zoom, active, turn: this.#turn, lines_only, rates: !lines_only && at !== null });
      if (number < this.#answered) return;
      this.#answered = number;
      this.#overlayZoom = zoom;
      this.#lines(overlay.svg);
      if (active && overlay.rates) this.#ahead.learn(active, overlay.rates);
      this.#ahead.stand(this.#over.firstElementChild, active, at);
      if (this.#late) this.#paint();
      else this.#lead();
      measured(led ? "overlay-exact" : "overlay", since);
      if (overlay.rows) {
        this.#list = overlay;
        this.#panel.readings(overlay, this.#active);
      }
    } catch (fault) {
      this.#say(fault);
    } finally {
      this.#underWay--;
      if (this.#askAgain !== null) {
        const next = this.#askAgain;
        this.#askAgain = null;
        void this.#ask(next.since, next.led);
      }
    }
  }

  #lines(svg: string): void {
    const wanted = drawing(svg);
    const kept = this.#over.firstElementChild;
    if (!wanted) this.#over.replaceChildren();
    else if (kept) morph(kept, wanted, ["viewBox"]);
    else this.#over.replaceChildren(wanted);
    this.#fitOverlay();
  }

  /** Moves the active point's lines to where it is now, as far as that is known. */
  #lead(): void {
    const at = this.#active && this.#history.now.get(this.#active);
    if (this.#active && at) this.#ahead.lead(this.#active, at);
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
    if (this.#list) {
      this.#panel.readings(this.#list, key);
      void this.#ask(performance.now()); // its lines are drawn strong, and led once it moves
    }
    this.#repaint();
  }

  /** The nearest place on the film, to a hundredth of a pixel. */
  #onFilm([x, y]: Point): Point {
    const within = (v: number, size: number) => Math.round(Math.min(size - 1, Math.max(0, v)) * 100) / 100;
    return [within(x, this.#size.width), within(y, this.#size.height)];
  }

  #put(key: string, stored: Point, run: string, since: number): void {
    if (this.#finished) {
      this.#say("This placing is finished and kept as it is; read the film again to place anew.");
      return;
    }
    this.#history.change(key, this.#onFilm(stored), run);
    const led = key === this.#active && this.#ahead.leads(key);
    const now = performance.now();
    if (led && now - this.#ledAt >= LED_EVERY_MS) {
      this.#ledAt = now;
      this.#paint();
      measured("overlay", since);
    }
    this.#changedPoints(since, led);
  }

  #changedPoints(since: number, led = false): void {
    this.#panel.points(this.#history.now, this.#active, this.#history);
    // A held point's cross moves together with its lines; where they cannot be led, they are a few milliseconds away.
    if (this.#hold?.kind === "point" && !led) this.#late ||= window.setTimeout(() => this.#paint(), LINES_LATE_MS);
    else this.#repaint();
    void this.#ask(since, led);
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

  /** The key of a gathering: starts it, or ends it and asks what its marks give. */
  #gathering(want: Want): void {
    if (this.#gather?.want === want) {
      this.#finishGathering(this.#gather);
      return;
    }
    const middle: Point = [this.#room.width / 2, this.#room.height / 2];
    this.#proposal = null;
    this.#panel.proposal(null);
    this.#gather = { want, points: [], cursor: this.#storedFromStage(middle), byKey: false };
    this.#say(`${GATHERINGS[want].words} By keyboard: the arrow keys move the mark, Enter sets it.`);
    this.#repaint();
  }

  #mark(stored: Point): void {
    this.#gather?.points.push(stored);
    this.#repaint();
  }

  #finishGathering({ want, points }: Gathering): void {
    const { least, key } = GATHERINGS[want];
    if (points.length < least) {
      this.#say(`Found ${points.length} marks; ${least} are needed. Set more and press ${key} again.`);
      return;
    }
    switch (want) {
      case "circle": void this.#propose(this.#desk.circle(points)); break;
      case "axis": void this.#propose(this.#desk.axis(points)); break;
      case "ball": void this.#measureBall(points); break;
      case "length": this.#measureLength(points); break;
    }
  }

  async #measureBall(marks: Point[]): Promise<void> {
    try {
      const { circle } = await this.#desk.circle(marks);
      this.#proposal = { points: {}, words: "", ...(circle ? { circle } : {}) };
      this.#repaint();
      this.#panel.askSize(`The circle through your ${marks.length} marks. How wide is the ball?`, "Diameter", (mm) => void this.#rescale({ from: "ball", diameter_mm: mm, edge_points_px: marks }));
    } catch (fault) {
      this.#say(fault);
    }
  }

  #measureLength(marks: Point[]): void {
    const [from, to] = [marks[0], marks[marks.length - 1]] as [Point, Point];
    this.#proposal = { points: {}, words: "", line: { from, to } };
    this.#repaint();
    this.#panel.askSize("The line between your first and last mark. How long is it in life?", "Length", (mm) => void this.#rescale({ from: "known-length", length_mm: mm, from_px: from, to_px: to }));
  }

  async #rescale(wish: ScaleWish): Promise<void> {
    if (await this.#useScale(wish)) {
      this.#history.rescale(wish);
      this.#answerProposal(false);
      this.#panel.points(this.#history.now, this.#active, this.#history);
      this.#say("The millimetres come from your marks now. Undo puts the scale back as it was.");
    }
  }

  /** True where the server took the scale; its sentence is shown where it did not, and the old scale stays. */
  async #useScale(wish: ScaleWish): Promise<boolean> {
    try {
      const said = await this.#desk.scale(wish);
      this.#panel.scaleWords(said.words);
      void this.#ask(performance.now());
      return true;
    } catch (fault) {
      this.#say(fault);
      return false;
    }
  }

  #backOrForth(go: () => boolean): void {
    const { now: points, wish } = this.#history;
    if (!go()) return;
    if (this.#history.now === points) this.#panel.points(points, this.#active, this.#history);
    else this.#changedPoints(performance.now());
    if (this.#history.wish !== wish) void this.#useScale(this.#history.wish);
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
    // A held point follows each move as it comes, not only once a frame.
    stage.addEventListener("pointerrawupdate", (e) => this.#dragged(e as PointerEvent));
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
    if (!this.#hold) this.#measure();
    return [e.clientX - this.#corner[0], e.clientY - this.#corner[1]];
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
      this.#gather.byKey = false;
      this.#gather.cursor = this.#storedFromStage(at);
      this.#mark(this.#gather.cursor);
      return;
    }
    const key = this.#near(at);
    if (key) {
      const wanted = this.#active && !this.#history.now.has(this.#active) ? this.#active : null;
      if (!wanted) this.#choose(key);
      this.#hold = { kind: "point", key, from: at, wanted };
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
      this.#dragged(e);
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

  #dragged(e: PointerEvent): void {
    const hold = this.#hold;
    if (hold?.kind !== "point") return;
    const at = this.#at(e);
    if (hold.wanted) {
      if (Math.hypot(at[0] - hold.from[0], at[1] - hold.from[1]) < STILL) return;
      hold.wanted = null;
      this.#choose(hold.key);
    }
    const stored = this.#onFilm(this.#storedFromStage(at));
    const now = this.#history.now.get(hold.key);
    if (now?.[0] !== stored[0] || now[1] !== stored[1]) this.#put(hold.key, stored, `drag ${hold.key} ${hold.from.join()}`, e.timeStamp);
  }

  #up(e: PointerEvent): void {
    const at = this.#at(e);
    this.#holds.delete(e.pointerId);
    const hold = this.#hold;
    this.#hold = null;
    this.#history.settle();
    if (hold?.kind === "point" && hold.wanted === null) void this.#ask(e.timeStamp);
    const still = (hold?.kind === "pan" && Math.hypot(at[0] - hold.from[0], at[1] - hold.from[1]) < STILL) || (hold?.kind === "point" && hold.wanted !== null);
    if (still && e.type === "pointerup" && this.#active && !this.#history.now.has(this.#active)) {
      const key = this.#active;
      this.#put(key, this.#storedFromStage(at), "", e.timeStamp);
      this.#choose(this.#nextMissing(key) ?? key);
    }
    this.#repaint();
  }

  #key(e: KeyboardEvent): void {
    if (e.altKey && e.key.startsWith("Arrow")) {
      // The film moves the other way than the view of it.
      const d = towards(e.key, 60);
      this.#place = { ...this.#place, x: this.#place.x - d[0], y: this.#place.y - d[1] };
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
    if (this.#gather) {
      const step = e.ctrlKey ? 60 : e.shiftKey ? this.#place.zoom : 6;
      const [x, y] = this.#stageFromStored(this.#gather.cursor);
      const d = towards(e.key, step);
      this.#gather.cursor = this.#storedFromStage([x + d[0], y + d[1]]);
      this.#gather.byKey = true;
      this.#repaint();
      return;
    }
    const key = this.#active;
    const point = key ? this.#history.now.get(key) : undefined;
    if (!key || !point) {
      this.#say("Press Enter to place the point in the middle, then move it with the arrow keys.");
      return;
    }
    const step = e.ctrlKey ? 10 : e.shiftKey ? 1 : 0.1;
    const d = towards(e.key, step);
    const shown = shownFromStored(point, this.#size, this.#turn);
    this.#put(key, storedFromShown([shown[0] + d[0], shown[1] + d[1]], this.#size, this.#turn), `nudge ${key}`, e.timeStamp);
  }

  /** What a key or its button does; true where there is such a key. */
  #press(name: string, shift: boolean): boolean {
    const middle: Point = [this.#room.width / 2, this.#room.height / 2];
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
        else if (this.#gather) this.#mark(this.#gather.cursor);
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
        if (this.#gather && !shift) {
          this.#gather.points.pop();
          this.#repaint();
        } else this.#backOrForth(() => (shift ? this.#history.redo() : this.#history.undo()) !== null);
        return true;
      case "Y":
      case "Ctrl+Y":
        this.#backOrForth(() => this.#history.redo() !== null);
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
      case "O": this.#gathering("circle"); return true;
      case "X": this.#gathering("axis"); return true;
      case "B": this.#gathering("ball"); return true;
      case "K": this.#gathering("length"); return true;
      default: return false;
    }
  }

  #setTurn(turn: Turn): void {
    this.#turn = turn;
    this.#ahead.forget();
    this.#fit();
    this.#repaint();
    void this.#ask(performance.now());
    this.#desk.turn(turn).then((said) => this.#panel.saved(said.words), (fault) => this.#say(fault));
  }
}

/** One measure of each name stands at a time. */
function measured(name: "overlay" | "overlay-exact", since: number): void {
  performance.clearMeasures(name);
  performance.measure(name, { start: since, end: performance.now() });
}
