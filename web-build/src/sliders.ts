// A slider's figure follows the finger; the plan that goes with it is asked for when the finger rests.
export function sliders(): void {
  document.addEventListener("input", (event) => {
    const slider = event.target as HTMLInputElement;
    if (!slider.matches("input[type=range][data-shows]")) return;
    const output = document.getElementById(slider.dataset.shows ?? "");
    if (!output) return;
    const words = slider.dataset.none && slider.value === slider.max ? slider.dataset.none : null;
    output.textContent = words ?? (slider.dataset.pattern ?? "{}").replace("{}", slider.value);
  });
}
