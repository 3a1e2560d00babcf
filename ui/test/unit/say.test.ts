import { describe, expect, it } from "vitest";
import { letter } from "../../src/ink/lettering";
import { stepAt } from "../../src/sheets/bench/Setup";
import { sampling } from "../../src/sheets/field/fan";
import { settingText } from "../../src/sheets/field/FieldSheet";
import { addressOf, sheetOf } from "../../src/state/route";
import { figures, ofRow, sayLimit, sayQuantity, sayRelease, setLength } from "../../src/state/say";

describe("numbers for people", () => {
  it("have the figures their doubt deserves", () => {
    expect(figures(0.0250606, 0.08)).toBe("0.025");
    expect(figures(22196.4, 17600)).toBe("22000");
    expect(figures(-3.14159)).toBe("\u22123.14");
    expect(figures(1e-14)).toBe("0");
    expect(figures(0)).toBe("0");
  });
  it("have unit and interval, in either system", () => {
    expect(sayQuantity({ value: 0.339, low: 0.337, high: 0.341, unit: "m" }, false, "metric").full).toBe("339\u00a0mm (337 to 341)");
    expect(sayQuantity({ value: 55.5, low: 48.8, high: 61.5, unit: "m/s" }, false, "metric").full).toBe("56\u00a0m/s (49 to 62)");
    expect(sayQuantity({ value: 44.704, low: 44.704, high: 44.704, unit: "m/s" }, false, "imperial").full).toBe("100\u00a0mph");
    expect(sayQuantity({ value: 0.644, low: 0.05, high: 0.99, unit: "1" }, true, "metric").full).toBe("64\u00a0% (5 to 99)");
    expect(sayQuantity({ value: 31, low: 31, high: 31, unit: "degC" }, false, "metric").full).toBe("31.0\u00a0°C");
  });
  it("leave an open end of the interval open", () => {
    expect(sayQuantity({ value: 0.01414, low: 0.01414, high: null, unit: "kg" }, false, "metric").full).toBe("14.1\u00a0g (14.1 or more)");
    expect(sayQuantity({ value: 120, low: null, high: 150, unit: "m" }, false, "metric").full).toBe("120\u00a0m (150 or less)");
    expect(sayQuantity({ value: 91.6, low: null, high: null, unit: "deg" }, false, "metric").full).toBe("91.6°");
  });
  it("of a row have the row's own interval, none where it names none, and turn with their sign", () => {
    const row = { pulse_us: 1500, edge_deg: 14, climb_m_s: -3, size_m: null, interval: { pulse_us: [1488, 1520], climb_m_s: [-4, -1] } as Record<string, [number, number]> };
    expect(ofRow(row, "pulse_us", "us")).toEqual({ value: 1500, low: 1488, high: 1520, unit: "us" });
    expect(sayQuantity(ofRow(row, "pulse_us", "us"), false, "metric").full).toBe("1500\u00a0µs (1488 to 1520)");
    expect(sayQuantity(ofRow(row, "edge_deg", "deg"), false, "metric").interval).toBe("");
    expect(ofRow(row, "climb_m_s", "m/s", true)).toEqual({ value: 3, low: 1, high: 4, unit: "m/s" });
    expect(sayQuantity(ofRow(row, "size_m", "m"), false, "metric").full).toBe("not known");
  });
  it("count a moment from the release in words", () => {
    expect(sayRelease(-1)).toBe("1\u00a0s before release");
    expect(sayRelease(0.5)).toBe("0.5\u00a0s after release");
    expect(sayRelease(0)).toBe("at release");
  });
  it("say why there is none", () => {
    expect(sayQuantity({ value: null, low: null, high: null, unit: "m", status: "no log" }, false, "metric").full).toBe("no log");
  });
  it("name their limits", () => {
    expect(sayLimit({ min: 0.05, max: 0.25 }, "1", true, 0.02)).toBe("5\u00a0% to 25\u00a0%");
    expect(sayLimit({ min: null, max: 1.1 }, "kg", false, 0.98)).toBe("at most 1100\u00a0g");
    expect(sayLimit({ min: null, max: null }, "kg", false, 0)).toBe("");
  });
  it("are written as the file takes them", () => {
    expect(setLength(0.17349)).toBe("173.5 mm");
    const s = { path: "launch.stick.pitch", label: "", value: 0, low: -1, high: 1, dim: "", unit: "%", scale: 0.01, step: 0.01 };
    expect(settingText(s, 0.12000000000000001)).toBe("12 %");
    expect(settingText({ ...s, unit: "deg", scale: Math.PI / 180, step: Math.PI / 180 }, 0.24434609527920614)).toBe("14 deg");
  });
});

describe("the odds by counting", () => {
  // Wilson's interval at 90 %: for 45 of 64 the formula gives 0.602 to 0.788 (worked by hand).
  it("agree with the sum done by hand", () => {
    const [low, high] = sampling(45, 64);
    expect(low).toBeCloseTo(0.602, 2);
    expect(high).toBeCloseTo(0.788, 2);
  });
  it("hold the share and stay within 0 and 1", () => {
    for (const n of [1, 5, 64, 512]) for (let h = 0; h <= n; h += Math.max(1, n >> 3)) {
      const [low, high] = sampling(h, n);
      expect(low).toBeGreaterThanOrEqual(0);
      expect(high).toBeLessThanOrEqual(1);
      expect(low).toBeLessThanOrEqual(h / n + 1e-12);
      expect(high).toBeGreaterThanOrEqual(h / n - 1e-12);
    }
  });
});

describe("addresses", () => {
  it("go there and back, whatever the file is called", () => {
    for (const f of ["tern.yaml", "my tern 2.yaml", "a#b.yaml", "50%.yaml", "möwe.yml"]) for (const s of ["bench", "field", "debrief"] as const) {
      expect(sheetOf(addressOf(f, s, "launch"))).toEqual({ file: f, sheet: s, place: "launch" });
    }
    expect(sheetOf("")).toEqual({ file: null, sheet: "bench", place: null });
    expect(sheetOf("#/x.yaml/nowhere").sheet).toBe("bench");
    expect(sheetOf("#/%E0%A4%A").file).toBe("%E0%A4%A");
  });
});

describe("letters", () => {
  it("are drawn for every letter and figure, accents left off", () => {
    const all = letter("ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789");
    expect(all?.strokes.length).toBe(36);
    expect(letter("Möwe")?.strokes.length).toBe(4);
    expect(letter("\u6d77")).toBeNull();
    let x = -1;
    for (const s of all!.strokes) { expect(s.x).toBeGreaterThan(x); x = s.x; }
  });
});

describe("the linkage between two steps", () => {
  const step = (servo: number, edge: number) => ({ servo_deg: servo, edge_deg: edge, pulse_us: 1500 + 10 * servo, edge_per_servo: 0.8, angle_at_arm_deg: 90, angle_at_horn_deg: 90, arm: [servo, 0, 0] as [number, number, number], horn: [0, 0, edge] as [number, number, number] });
  const steps = [step(-10, -8), step(0, 0), step(10, 8)];
  it("is in proportion, and a step is itself", () => {
    expect(stepAt(steps, 5)).toMatchObject({ edge_deg: 4, pulse_us: 1550, arm: [5, 0, 0] });
    for (const s of steps) expect(stepAt(steps, s.servo_deg)?.edge_deg).toBeCloseTo(s.edge_deg, 12);
    expect(stepAt([], 1)).toBeNull();
  });
});
