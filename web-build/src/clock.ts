// The clock on the page shows the running time; the server keeps the true one.
export function clock(): void {
  let face: HTMLElement | null = null;
  let start = 0;
  const tick = (): void => {
    const now = document.querySelector<HTMLElement>("[data-clock]");
    if (!now) return;
    if (now !== face) start = Date.now() - Number(now.dataset.clock) * 1000;
    face = now;
    const seconds = Math.max(0, Math.floor((Date.now() - start) / 1000));
    const parts = [seconds / 3600, (seconds / 60) % 60, seconds % 60];
    now.textContent = parts.map((p) => String(Math.floor(p)).padStart(2, "0")).join(":");
  };
  tick();
  window.setInterval(tick, 1000);
}
