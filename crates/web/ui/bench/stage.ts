// The picture in three dimensions: it draws what it is given, when it is given it; there is no running loop.
// Marks stand over it as SVG, so that they stay sharp and their numbers readable.

import { DirectionalLight, EdgesGeometry, Group, HemisphereLight, LineBasicMaterial, LineLoop, LineSegments, BufferAttribute, BufferGeometry, Mesh, MeshLambertMaterial, PerspectiveCamera, PlaneGeometry, Quaternion, Raycaster, Scene, Vector2, Vector3, WebGLRenderer } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import type { Body, FootHead, Place, PreviewHead, Shapes } from "./api.js";
import { geometry, glass, ink, ruledGround, solid } from "./glass.js";
import { type Scale, paint } from "./maps.js";

export type View = "above" | "inner" | "outer" | "behind" | "front" | "below";

/** Finer than this shows nothing more and costs time on machines without a graphics card. */
const MOST_PIXELS = 1.5;

export class Stage {
  readonly canvas: HTMLCanvasElement;
  onMoved: () => void = () => {};
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(28, 1, 10, 4000);
  readonly #controls: OrbitControls;
  /** Everything of the foot's frame, set on the level ground. */
  readonly #standing = new Group();
  readonly #device = new Group();
  readonly #cut: LineSegments;
  readonly #middle = new Vector3(115, 0, 25);
  #foot: Mesh | null = null;
  #rim: LineLoop | null = null;
  #rear = 0;
  #length = 250;
  #side = "right";
  #asked = 0;
  /** The named view, as long as nobody turned away from it. */
  #view: View | null = null;

  constructor(host: HTMLElement) {
    this.#renderer = new WebGLRenderer({ antialias: true, powerPreference: "high-performance", preserveDrawingBuffer: true });
    this.canvas = this.#renderer.domElement;
    host.prepend(this.canvas);
    this.#camera.up.set(0, 0, 1);
    const sun = new DirectionalLight(0xffffff, 2.1);
    sun.position.set(-0.3, 0.5, 1);
    this.#scene.add(new HemisphereLight(0xffffff, 0x8a8577, 1.6), sun, this.#standing);
    this.#standing.add(this.#device);
    this.#cut = new LineSegments(new EdgesGeometry(new PlaneGeometry(70, 120)), new LineBasicMaterial({ color: ink("--attention") }));
    this.#cut.rotation.y = Math.PI / 2;
    this.#standing.add(this.#cut);
    this.#controls = new OrbitControls(this.#camera, this.canvas);
    this.#controls.enableDamping = false;
    this.#controls.minDistance = 120;
    this.#controls.maxDistance = 1500;
    this.#controls.addEventListener("change", () => this.draw());
    this.#controls.addEventListener("start", () => (this.#view = null));
    new ResizeObserver(() => this.#resize(host)).observe(host);
    this.#resize(host);
  }

  #resize(host: HTMLElement): void {
    const { width, height } = host.getBoundingClientRect();
    if (width < 2 || height < 2) return;
    this.#renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, MOST_PIXELS));
    this.#renderer.setSize(width, height, false);
    this.#camera.aspect = width / height;
    this.#camera.updateProjectionMatrix();
    // A named view is as large as its place lets it be.
    if (this.#view) this.look(this.#view);
    this.draw();
  }

  /** Once per frame, however often it is asked for. */
  draw(): void {
    if (this.#asked) return;
    this.#asked = requestAnimationFrame(() => this.#drawNow());
  }

  #drawNow(): void {
    this.#asked = 0;
    this.#renderer.setClearColor(ink("--well"));
    this.#renderer.render(this.#scene, this.#camera);
    this.onMoved();
  }

  /** Draws at once and returns when the pixels are there. */
  drawn(): void {
    cancelAnimationFrame(this.#asked);
    this.#drawNow();
  }

  showFoot({ head, bodies }: Shapes<FootHead>): void {
    const body = bodies[0];
    if (!body) return;
    this.#side = head.side;
    this.#foot = new Mesh(geometry(body), glass());
    this.#foot.renderOrder = 2;
    whole(this.#foot);
    this.#standing.add(this.#foot);
    this.#foot.geometry.computeBoundingBox();
    const box = this.#foot.geometry.boundingBox;
    const length = box ? box.max.x : 260;
    this.#length = length;
    this.#middle.set(length * 0.48, 0, 24);
    this.#scene.add(ruledGround(length));
    this.look("inner");
  }

  /** `values` are numbers at the shell's corners, by colour; without them the shell has its own. */
  showDevice({ head, bodies }: Shapes<PreviewHead>, map: { scale: Scale; values: Float32Array | null } | null): void {
    for (const old of [...this.#device.children]) {
      this.#device.remove(old);
      if (old instanceof Mesh || old instanceof LineLoop) old.geometry.dispose();
    }
    for (const body of bodies) this.#device.add(this.#body(body, map));
    const rim = new BufferGeometry().setAttribute("position", new BufferAttribute(new Float32Array(head.rim.flat()), 3));
    this.#rim = new LineLoop(rim, new LineBasicMaterial({ color: ink("--ink"), depthTest: false, transparent: true }));
    this.#rim.renderOrder = 3;
    this.#device.add(this.#rim);
    // The ground is level and at nought; the foot stands on it as the device holds it.
    const up = new Vector3(...head.ground.up);
    const level = new Quaternion().setFromUnitVectors(up, new Vector3(0, 0, 1));
    this.#standing.quaternion.copy(level);
    const under = new Vector3(...head.ground.at).applyQuaternion(level);
    this.#standing.position.set(0, 0, -under.z);
    this.#standing.updateMatrixWorld(true);
    this.#rear = Math.min(...bodies.map((b) => rearOf(b)));
    this.draw();
  }

  #body(body: Body, map: { scale: Scale; values: Float32Array | null } | null): Mesh {
    const shape = geometry(body);
    if (map && body.part === "shell") {
      paint(shape, map.values, map.scale);
      return whole(new Mesh(shape, new MeshLambertMaterial({ vertexColors: true })));
    }
    return whole(new Mesh(shape, solid(body.part === "shell" ? "--accent" : "--attention")));
  }

  /** The border alone, ahead of the next answer. */
  leadRim(rim: Place[]): void {
    if (!this.#rim) return;
    this.#rim.geometry.setAttribute("position", new BufferAttribute(new Float32Array(rim.flat()), 3));
    this.draw();
  }

  /** Where the section is taken, from the rearmost edge forward. */
  cutAt(along: number | null): void {
    this.#cut.visible = along !== null;
    if (along !== null) this.#cut.position.set(this.#rear + along, 0, 28);
    this.draw();
  }

  look(view: View): void {
    this.#view = view;
    const inner = this.#side === "left" ? -1 : 1;
    const ways: Record<View, [number, number, number]> = {
      above: [-0.001, 0, 1],
      below: [-0.001, 0, -1],
      inner: [0.35, inner, 0.5],
      outer: [0.3, -inner, 0.45],
      behind: [-1, 0.001, 0.18],
      front: [1, 0.001, 0.3],
    };
    const way = new Vector3(...ways[view]).normalize();
    // What is seen from there, across and upward, with a little room around it.
    const flat = view === "above" || view === "below";
    const along = view === "inner" || view === "outer";
    const wide = along ? 1.12 * this.#length : 0.62 * this.#length;
    const high = flat ? 1.12 * this.#length : 0.5 * this.#length;
    const tan = Math.tan((this.#camera.fov * Math.PI) / 360);
    // Along the foot, what is nearest lies half its length before the middle.
    const near = view === "behind" || view === "front" ? 0.4 * this.#length : 0;
    const far = Math.max(wide / (2 * tan * this.#camera.aspect), high / (2 * tan)) + near;
    this.#controls.target.copy(this.#middle);
    this.#camera.position.copy(this.#middle).addScaledVector(way, far);
    this.#controls.update();
    this.draw();
  }

  /** Turns the eye about the device, degrees to the right and upward. */
  turn(right: number, up: number): void {
    this.#view = null;
    const arm = this.#camera.position.clone().sub(this.#controls.target);
    const flat = Math.atan2(arm.y, arm.x) + (right * Math.PI) / 180;
    const far = arm.length();
    const high = Math.min(Math.max(Math.asin(arm.z / far) + (up * Math.PI) / 180, -1.55), 1.55);
    arm.set(far * Math.cos(high) * Math.cos(flat), far * Math.cos(high) * Math.sin(flat), far * Math.sin(high));
    this.#camera.position.copy(this.#controls.target).add(arm);
    this.#controls.update();
    this.draw();
  }

  zoom(factor: number): void {
    this.#view = null;
    const arm = this.#camera.position.clone().sub(this.#controls.target);
    arm.setLength(Math.min(Math.max(arm.length() / factor, 120), 1500));
    this.#camera.position.copy(this.#controls.target).add(arm);
    this.#controls.update();
    this.draw();
  }

  /** While a thing is dragged the eye stands still. */
  hold(held: boolean): void {
    this.#controls.enabled = !held;
  }

  /** A place of the foot's frame on the canvas, in CSS pixels. */
  onCanvas(place: Place): [number, number] {
    const seen = this.#standing.localToWorld(new Vector3(...place)).project(this.#camera);
    const { clientWidth, clientHeight } = this.canvas;
    return [((seen.x + 1) / 2) * clientWidth, ((1 - seen.y) / 2) * clientHeight];
  }

  /** Places of the foot's skin under a place of the canvas, the nearest first; in the foot's frame. */
  onFoot(x: number, y: number): Place[] {
    if (!this.#foot) return [];
    const ray = new Raycaster();
    const { clientWidth, clientHeight } = this.canvas;
    ray.setFromCamera(new Vector2((x / clientWidth) * 2 - 1, 1 - (y / clientHeight) * 2), this.#camera);
    const material = this.#foot.material as { side: number };
    const before = material.side;
    material.side = 2;
    const hits = ray.intersectObject(this.#foot);
    material.side = before;
    return hits.map((h) => this.#standing.worldToLocal(h.point.clone()).toArray() as Place);
  }
}

/** Always drawn: to find out whether it can be seen costs more than to draw it. */
function whole(mesh: Mesh): Mesh {
  mesh.frustumCulled = false;
  return mesh;
}

function rearOf(body: Body): number {
  let least = Infinity;
  for (let i = 0; i < body.corners.length; i += 3) least = Math.min(least, body.corners[i] as number);
  return least;
}
