// The ground one draws on: paper, slate, or full sun; by the device unless chosen.
import { effect, signal } from "@preact/signals";

export const grounds = ["device", "paper", "slate", "sun"] as const;
export type Ground = (typeof grounds)[number];
export const ground = signal<Ground>(grounds.find((g) => g === localStorage.getItem("ground")) ?? "device");
const dark = matchMedia("(prefers-color-scheme: dark)");
const more = matchMedia("(prefers-contrast: more)");

export function keepGround(): void {
  const put = (): void => {
    const g = ground.value;
    document.documentElement.dataset["ground"] = g !== "device" ? g : more.matches ? "sun" : dark.matches ? "slate" : "paper";
  };
  dark.addEventListener("change", put);
  more.addEventListener("change", put);
  effect(() => { localStorage.setItem("ground", ground.value); put(); });
}
