// The clock on the fitting page shows the running time; the server keeps the true one.
export function clock(): void {
  const face = document.querySelector<HTMLElement>("[data-clock]");
  if (!face) return;
  const start = Date.now() - Number(face.dataset.clock) * 1000;
  const tick = (): void => {
    const seconds = Math.max(0, Math.floor((Date.now() - start) / 1000));
    const parts = [seconds / 3600, (seconds / 60) % 60, seconds % 60];
    face.textContent = parts.map((p) => String(Math.floor(p)).padStart(2, "0")).join(":");
  };
  tick();
  window.setInterval(tick, 1000);
}
