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
  MeshStandardMaterial,
  PerspectiveCamera,
  Raycaster,
  Scene,
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
  name: string;
}

const ink = (name: string): Color =>
  new Color(getComputedStyle(document.documentElement).getPropertyValue(`--sb-${name}`).trim() || "#888");

export async function show(place: HTMLElement): Promise<void> {
  const model = await new GLTFLoader().loadAsync(place.dataset.solid ?? "");
  const renderer = new WebGLRenderer({ antialias: true, alpha: true });
  const scene = new Scene();
  scene.add(model.scene, new AmbientLight(0xffffff, 1.6));
  const sun = new DirectionalLight(0xffffff, 2.2);
  sun.position.set(3, 6, 4);
  scene.add(sun);
  const box = new Box3().setFromObject(model.scene);
  const middle = box.getCenter(new Vector3());
  const size = box.getSize(new Vector3()).length() || 1;
  const parts = dress(model.scene, middle);

  const camera = new PerspectiveCamera(38, 1, size / 100, size * 20);
  camera.position.copy(middle).add(new Vector3(0.55, 0.45, 0.8).multiplyScalar(size * 1.25));
  const controls = new OrbitControls(camera, renderer.domElement);
  controls.target.copy(middle);
  controls.enableDamping = false;
  controls.listenToKeyEvents(place);

  const draw = (): void => renderer.render(scene, camera);
  const fit = (): void => {
    const { clientWidth: w, clientHeight: h } = renderer.domElement;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    renderer.setSize(w, h, false);
    camera.aspect = w / Math.max(h, 1);
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
    for (const part of parts) part.mesh.position.copy(part.home).addScaledVector(part.away, share * size * 0.35);
    draw();
  };
  slider?.addEventListener("input", apart);
  apart();
  name(place, renderer, camera, parts, draw);
}

function dress(root: { traverse(visit: (node: object) => void): void }, middle: Vector3): Part[] {
  const parts: Part[] = [];
  root.traverse((node) => {
    if (!(node instanceof Mesh)) return;
    const centre = new Box3().setFromObject(node).getCenter(new Vector3());
    const own = node.userData as { normal?: [number, number, number] };
    const away = own.normal ? new Vector3(...own.normal) : centre.clone().sub(middle).normalize();
    const label = node.name || node.parent?.name || "";
    node.material = new MeshStandardMaterial({ color: ink("board-edge"), roughness: 0.9 });
    node.add(new LineSegments(new EdgesGeometry(node.geometry, 25), new LineBasicMaterial({ color: ink("pencil") })));
    parts.push({ mesh: node, home: node.position.clone(), away, name: label });
  });
  return parts;
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
    for (const [p, ink_] of [[lit, "board-edge"], [part, "tape"]] as const) {
      if (p) (p.mesh.material as MeshStandardMaterial).color = ink(ink_);
    }
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
