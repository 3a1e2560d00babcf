import { describe, expect, it } from "vitest";
import { boxIn, frameOf, inRows, outline, overrun, planY, px, sideY } from "../../src/draft/frame";
import { isPicture, keptEdge, keptSize, restationed, turned, scaled, shifted, stationsOf, type Photo } from "../../src/draft/photo";
import { metres } from "../../src/draft/Underlay";
import type { Drawing } from "../../src/wire/types";

const drawing = {
  box: { min: [0, -0.5, -0.05], max: [0.8, 0.5, 0.12] }, span: 1, propeller: null, hook: null,
} as unknown as Drawing;

describe("the frame", () => {
  it("keeps one scale and one x in both views", () => {
    for (const [width, tall] of [[360, 400], [900, 780], [1300, 500]] as const) {
      const f = frameOf(drawing, width, tall);
      expect(px(f, 0.8) - px(f, 0)).toBeCloseTo(0.8 * f.scale, 9);
      expect(planY(f, -0.5) - planY(f, 0.5)).toBeCloseTo(f.scale, 9);
      expect(px(f, 0)).toBeGreaterThanOrEqual(0);
      expect(px(f, 0.8)).toBeLessThanOrEqual(width);
      expect(planY(f, -0.5)).toBeLessThan(sideY(f, 0.12)); // the views do not meet
      expect(f.plan.bottom - f.plan.top).toBeLessThanOrEqual(tall + 1e-9);
    }
  });
  it("draws right wings up, up up, and boxes about their centre", () => {
    const f = frameOf(drawing, 900, 780);
    expect(planY(f, 0.1)).toBeLessThan(planY(f, 0));
    expect(sideY(f, 0.1)).toBeLessThan(sideY(f, 0));
    const b = boxIn(f, "plan", [0.2, 0.1, 0], [0.06, 0.04, 0.02]);
    expect(b.x + b.w / 2).toBeCloseTo(px(f, 0.2), 9);
    expect(b.y + b.h / 2).toBeCloseTo(planY(f, 0.1), 9);
    expect(b.w / b.h).toBeCloseTo(1.5, 9);
  });
  it("closes outlines and draws nothing of nothing", () => {
    expect(outline([], (a) => a, (b) => b)).toBe("");
    expect(outline([[0, 0], [1, 0], [1, 1]], (a) => a, (b) => b)).toBe("M0 0L1 0L1 1Z");
    expect(overrun({ x: 0, y: 0, w: 10, h: 5 }).split("M").length - 1).toBe(4);
  });
});

describe("labels in rows", () => {
  it("never cover each other and stay on the sheet", () => {
    let seed = 7;
    const rnd = (): number => (seed = (seed * 16807) % 2147483647) / 2147483647;
    for (let n = 0; n < 200; n++) {
      const wanted = Array.from({ length: 9 }, () => ({ at: rnd() * 900, width: 30 + rnd() * 80 }));
      const spots = inRows(wanted, 4, 896, 4);
      for (let i = 0; i < spots.length; i++) {
        expect(spots[i]!.x).toBeGreaterThanOrEqual(4);
        for (let j = 0; j < i; j++) {
          if (spots[i]!.row !== spots[j]!.row) continue;
          const [a, b] = spots[i]!.x < spots[j]!.x ? [i, j] : [j, i];
          expect(spots[a]!.x + wanted[a]!.width).toBeLessThanOrEqual(spots[b]!.x);
        }
      }
    }
  });
});

describe("a photograph under the drawing", () => {
  const p = { file: "a.yaml", view: "plan", width: 100, height: 50, x: 0, up: 0.25, size: 0.01, turn: 0, ink: 0.5 } as Photo;
  it("is scaled by a known length about the first point", () => {
    const q = scaled(p, { x: 0.2, up: 0 }, { x: 0.6, up: 0 }, 0.8, null);
    expect(q.size).toBeCloseTo(0.02, 12);
    expect(q.turn).toBe(0);
    // The first point stays: its distance from the corner has doubled.
    expect(q.x).toBeCloseTo(0.2 - 2 * 0.2, 12);
    expect(q.up).toBeCloseTo(2 * 0.25, 12);
  });
  it("is turned so that the line lies where it was said to", () => {
    const q = scaled(p, { x: 0, up: 0 }, { x: 0.3, up: 0.3 }, Math.hypot(0.3, 0.3), 0);
    expect(q.turn).toBeCloseTo(-45, 9);
    expect(q.size).toBeCloseTo(p.size, 12);
  });
  it("knows a line from its opposite where one end was said to come first, and not where either will do", () => {
    expect(Math.abs(scaled(p, { x: 0.3, up: 0 }, { x: 0, up: 0 }, 0.3, 0).turn)).toBeCloseTo(180, 9);
    expect(scaled(p, { x: 0, up: 0.3 }, { x: 0, up: -0.3 }, 0.6, Math.PI / 2, true).turn).toBeCloseTo(0, 9);
  });
  it("turns about a point that stays, and back again", () => {
    const about = { x: 0.2, up: 0.1 }, q = turned(p, about, 33), back = turned(q, about, -33);
    expect(Math.hypot(q.x - about.x, q.up - about.up)).toBeCloseTo(Math.hypot(p.x - about.x, p.up - about.up), 12);
    for (const k of ["x", "up", "turn"] as const) expect(back[k]).toBeCloseTo(p[k], 12);
  });
  it("opens JPEG, PNG and WebP, by their first bytes only", () => {
    expect(isPicture(new Uint8Array([0xff, 0xd8, 0xff, 0xe0]))).toBe(true);
    expect(isPicture(new TextEncoder().encode("RIFF0000WEBPVP8 "))).toBe(true);
    for (const bad of ["", "<svg xmlns=", "<?xml version", "GIF89a", "RIFF0000WAVEfmt ", "\u0000\u0000\u0001\u0000"]) expect(isPicture(new TextEncoder().encode(bad))).toBe(false);
  });
  it("keeps no picture larger than it says, and no side of nothing", () => {
    for (const [w, h] of [[100, 50], [keptEdge, 3], [12000, 9000], [1, 140000]] as const) {
      const [a, b] = keptSize(w, h);
      expect(Math.max(a, b)).toBeLessThanOrEqual(keptEdge);
      expect(Math.min(a, b)).toBeGreaterThanOrEqual(1);
      if (Math.min(w, h) > 100) expect(a / b).toBeCloseTo(w / h, 2);
    }
  });
  it("puts places between where fewer were traced than the file has: the same outline", () => {
    const old = [0, 0.2, 0.4, 0.5].map((y, i) => ({ y, z: y / 10, twist: -i, section: i < 2 ? "A" : "B" }));
    const traced = [{ x: 0.2, y: 0, chord: 0.2 }, { x: 0.3, y: 0.5, chord: 0.1 }];
    const st = restationed(traced, old);
    expect(st.length).toBe(4);
    for (const s of st) {
      expect(s.x).toBeCloseTo(0.2 + 0.2 * s.y, 12);
      expect(s.chord).toBeCloseTo(0.2 - 0.2 * s.y, 12);
      expect(s.z).toBeCloseTo(s.y / 10, 12);
    }
    expect(st.map((s) => s.y)).toEqual([...st.map((s) => s.y)].sort((a, b) => a - b));
    expect(st[0]).toMatchObject({ twist: -0, section: "A" });
    expect(st[3]).toMatchObject({ twist: -3, section: "B" });
  });
  it("keeps height, twist and section by number where as many were traced, by place where more were", () => {
    const old = [{ y: 0, z: 0, twist: 1, section: "A" }, { y: 1, z: 0.1, twist: -1, section: "B" }];
    expect(restationed([{ x: 0, y: 0.02, chord: 1 }, { x: 0, y: 0.9, chord: 1 }], old).map((s) => [s.z, s.twist, s.section])).toEqual([[0, 1, "A"], [0.1, -1, "B"]]);
    expect(restationed([{ x: 0, y: 0, chord: 1 }, { x: 0, y: 0.5, chord: 1 }, { x: 0, y: 1, chord: 1 }], old)[1]).toMatchObject({ z: 0.05, twist: 0 });
  });
  it("takes no nonsense", () => {
    expect(scaled(p, { x: 1, up: 1 }, { x: 1, up: 1 }, 1, null)).toBe(p);
    expect(scaled(p, { x: 0, up: 0 }, { x: 1, up: 1 }, 0, null)).toBe(p);
    expect(shifted(p, { x: 0.1, up: 0.1 }, { x: 0, up: 0 })).toMatchObject({ x: -0.1 });
  });
  it("is traced into stations, root first, whichever edge came first", () => {
    expect(stationsOf([{ x: 0.4, up: 0.5 }, { x: 0.3, up: 0.5 }, { x: 0.25, up: 0 }, { x: 0.45, up: 0 }, { x: 1, up: 1 }])).toEqual([
      { x: 0.25, y: 0, chord: expect.closeTo(0.2, 12) as number }, { x: 0.3, y: 0.5, chord: expect.closeTo(0.1, 12) as number },
    ]);
  });
  it("reads a length with its unit only", () => {
    expect(metres("1040 mm")).toBeCloseTo(1.04, 12);
    expect(metres("1,04 m")).toBeCloseTo(1.04, 12);
    expect(metres("10 in")).toBeCloseTo(0.254, 12);
    for (const bad of ["1040", "mm", "-3 mm", "ten mm", "1e3 mm"]) expect(metres(bad)).toBeNull();
  });
});
