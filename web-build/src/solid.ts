// The pieces in space: turned with a finger or the arrow keys, drawn apart with the slider, named when pointed at.
import {
  AmbientLight,
  Box3,
  Color,
  DirectionalLight,
  EdgesGeometry,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  PerspectiveCamera,
  Raycaster,
  Scene,
  Sphere,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";

interface Part {
  mesh: Mesh;
  home: Vector3;
  away: Vector3;
  out: Vector3;
  name: string;
  ink: string;
}

const ink = (name: string): Color =>
  new Color(getComputedStyle(document.documentElement).getPropertyValue(`--sb-${name}`).trim() || "#888");

export async function show(place: HTMLElement): Promise<void> {
  const model = await new GLTFLoader().loadAsync(place.dataset.solid ?? "");
  const renderer = new WebGLRenderer({ antialias: true, alpha: true });
  const scene = new Scene();
  scene.add(model.scene, new AmbientLight(0xffffff, 2.2));
  model.scene.updateMatrixWorld(true);
  const { parts, bare } = sorted(model.scene);
  dress(parts, bare);
  const ball = new Box3().union(boxOf(parts.map((p) => p.mesh))).getBoundingSphere(new Sphere());
  const size = ball.radius || 1;

  const camera = new PerspectiveCamera(38, 1, size / 50, size * 30);
  const eye = parts.reduce((sum, p) => sum.add(p.away), new Vector3());
  if (eye.length() < 0.2 * parts.length) eye.set(0.5, 0.5, 0.8);
  eye.normalize().add(new Vector3(0.35, 0.3, 0.25)).normalize();
  camera.position.copy(ball.center).addScaledVector(eye, (size * 0.85) / Math.sin((19 * Math.PI) / 180));
  const sun = new DirectionalLight(0xffffff, 1.6);
  sun.position.copy(eye).add(new Vector3(0.4, 1, 0.2));
  scene.add(sun);
  const controls = new OrbitControls(camera, renderer.domElement);
  controls.target.copy(ball.center);
  controls.enableDamping = false;
  controls.listenToKeyEvents(place);
  controls.update();

  const draw = (): void => renderer.render(scene, camera);
  const fit = (): void => {
    const { clientWidth: w, clientHeight: h } = renderer.domElement;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    renderer.setSize(w, h, false);
    camera.aspect = w / Math.max(h, 1);
    camera.zoom = Math.min(1, camera.aspect);
    camera.updateProjectionMatrix();
    draw();
  };
  place.querySelector("[data-solid-start]")?.remove();
  place.querySelector("[data-solid-canvas]")?.replaceChildren(renderer.domElement);
  place.setAttribute("data-solid-ready", "yes");
  controls.addEventListener("change", draw);
  new ResizeObserver(fit).observe(renderer.domElement);
  fit();

  const slider = place.querySelector<HTMLInputElement>("input[data-apart]");
  const apart = (): void => {
    const share = Number(slider?.value ?? 0) / 100;
    for (const part of parts) part.mesh.position.copy(part.home).addScaledVector(part.out, share * size * 0.4);
    draw();
  };
  slider?.addEventListener("input", apart);
  apart();
  name(place, renderer, camera, parts, draw);
}

function boxOf(meshes: Mesh[]): Box3 {
  return meshes.reduce((box, mesh) => box.union(new Box3().setFromObject(mesh)), new Box3());
}

// Tells the pieces from the bare faces, and finds the way each piece goes in: square to its front, which the model
// lists first.
function sorted(root: { traverse(visit: (node: object) => void): void }): { parts: Part[]; bare: Mesh[] } {
  const parts: Part[] = [];
  const bare: Mesh[] = [];
  root.traverse((node) => {
    if (!(node instanceof Mesh)) return;
    const label = String(node.userData.name ?? node.name ?? "").replaceAll("_", " ");
    if (label.startsWith("face ")) {
      bare.push(node);
      return;
    }
    const away = front(node).transformDirection(node.matrixWorld);
    const inverse = node.parent?.matrixWorld.clone().invert();
    const layer = Number(node.userData.layer ?? 1);
    const out = (inverse ? away.clone().transformDirection(inverse) : away.clone()).multiplyScalar(0.4 + 0.6 * layer);
    parts.push({ mesh: node, home: node.position.clone(), away, out, name: label, ink: layer % 2 ? "board" : "board-two" });
  });
  return { parts, bare };
}

function front(mesh: Mesh): Vector3 {
  const at = mesh.geometry.getAttribute("position");
  const index = mesh.geometry.getIndex();
  const corner = (n: number): Vector3 => new Vector3().fromBufferAttribute(at, index ? index.getX(n) : n);
  const [a, b, c] = [corner(0), corner(1), corner(2)];
  return b.sub(a).cross(c.sub(a)).normalize();
}

function dress(parts: Part[], bare: Mesh[]): void {
  const pencil = new LineBasicMaterial({ color: ink("pencil") });
  for (const part of parts) {
    part.mesh.material = new MeshLambertMaterial({ color: ink(part.ink), flatShading: true });
    part.mesh.add(new LineSegments(new EdgesGeometry(part.mesh.geometry, 25), pencil));
  }
  const faint = new LineBasicMaterial({ color: ink("faint") });
  for (const mesh of bare) {
    mesh.material = new MeshBasicMaterial({ color: ink("faint"), transparent: true, opacity: 0.08, depthWrite: false });
    mesh.add(new LineSegments(new EdgesGeometry(mesh.geometry, 25), faint));
  }
}

function name(
  place: HTMLElement,
  renderer: WebGLRenderer,
  camera: PerspectiveCamera,
  parts: Part[],
  draw: () => void,
): void {
  const words = place.querySelector<HTMLElement>("[data-solid-name]");
  const ray = new Raycaster();
  let lit: Part | undefined;
  const point = (event: PointerEvent): void => {
    const { left, top, width, height } = renderer.domElement.getBoundingClientRect();
    const at = new Vector2(((event.clientX - left) / width) * 2 - 1, 1 - ((event.clientY - top) / height) * 2);
    ray.setFromCamera(at, camera);
    const hit = ray.intersectObjects(parts.map((p) => p.mesh), false)[0];
    light(parts.find((p) => p.mesh === hit?.object));
  };
  const light = (part: Part | undefined): void => {
    if (part === lit) return;
    if (lit) (lit.mesh.material as MeshLambertMaterial).color = ink(lit.ink);
    if (part) (part.mesh.material as MeshLambertMaterial).color = ink("tape");
    lit = part;
    if (words) words.textContent = part?.name ?? words.dataset.solidName ?? "";
    draw();
  };
  renderer.domElement.addEventListener("pointermove", point);
  renderer.domElement.addEventListener("pointerdown", point);
  place.querySelectorAll<HTMLButtonElement>("button[data-piece]").forEach((button) => {
    button.addEventListener("click", () => light(parts.find((p) => p.name === button.dataset.piece)));
  });
}
