// Colours as eyes see them. In: '#rrggbb'; out: CIE L*a*b* (D65), the colour of an eye that lacks a cone, their distance.
// Terms: matrices of Machado, Oliveira & Fernandes 2009, severity 1.0, in linear RGB (from memory).

export type Eye = 'normal' | 'protan' | 'deutan' | 'tritan' | 'grey';

const MATRICES: Readonly<Record<Exclude<Eye, 'normal'>, readonly number[]>> = {
  protan: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
  deutan: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
  tritan: [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.3039],
  grey: [0.2126, 0.7152, 0.0722, 0.2126, 0.7152, 0.0722, 0.2126, 0.7152, 0.0722],
};

export function lab(hex: string, eye: Eye): readonly [number, number, number] {
  const linear = [1, 3, 5].map((at) => {
    const v = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  });
  const m = eye === 'normal' ? [1, 0, 0, 0, 1, 0, 0, 0, 1] : MATRICES[eye];
  const [r, g, b] = [0, 1, 2].map((row) => {
    const sum = [0, 1, 2].reduce((s, k) => s + m[row * 3 + k]! * linear[k]!, 0);
    return Math.min(Math.max(sum, 0), 1);
  }) as [number, number, number];
  const f = (t: number): number => (t > 216 / 24389 ? Math.cbrt(t) : (t * 24389) / 27 / 116 + 16 / 116);
  const x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505);
  const y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
  const z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/** CIE 1976 distance: about 2 is just seen, 10 is seen at a glance. */
export function distance(a: string, b: string, eye: Eye): number {
  const p = lab(a, eye);
  const q = lab(b, eye);
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}
