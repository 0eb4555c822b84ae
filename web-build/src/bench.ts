// On the bench: ticks are sent at once, and the screen stays awake while a sheet is on it.
type Lock = { release(): Promise<void> };

export function bench(): void {
  document.addEventListener("change", (event) => {
    const box = event.target as HTMLInputElement;
    if (box.matches("[data-tick] input[type=checkbox]")) {
      const form = box.form;
      if (form) window.htmx.trigger(form, "tick", {});
    }
  });
  const toggle = document.querySelector<HTMLInputElement>("input[data-awake]");
  if (!toggle) return;
  const wake = (navigator as Navigator & { wakeLock?: { request(kind: "screen"): Promise<Lock> } }).wakeLock;
  if (!wake) {
    toggle.closest("label")?.setAttribute("hidden", "");
    return;
  }
  let lock: Lock | null = null;
  const hold = async (): Promise<void> => {
    if (!toggle.checked || document.visibilityState !== "visible") return;
    try {
      lock = await wake.request("screen");
      document.documentElement.dataset.awake = "yes";
    } catch {
      document.documentElement.dataset.awake = "no";
    }
  };
  toggle.checked = localStorage.getItem("snugbay-awake") !== "no";
  toggle.addEventListener("change", () => {
    localStorage.setItem("snugbay-awake", toggle.checked ? "yes" : "no");
    if (toggle.checked) void hold();
    else void lock?.release();
  });
  document.addEventListener("visibilitychange", () => void hold());
  void hold();
}
