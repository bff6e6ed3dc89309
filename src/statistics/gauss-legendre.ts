/** Nodes and weights of 16-point Gauss–Legendre quadrature on (−1, 1), positive half (Abramowitz and Stegun 1964, table 25.4). */
const NODES = [
  0.09501250983763744, 0.2816035507792589, 0.45801677765722737, 0.6178762444026438, 0.755404408355003,
  0.8656312023878318, 0.9445750230732326, 0.9894009349916499,
]
const WEIGHTS = [
  0.1894506104550685, 0.18260341504492358, 0.16915651939500254, 0.14959598881657674, 0.12462897125553388,
  0.09515851168249279, 0.062253523938647894, 0.027152459411754096,
]

/** Hands over the 16 points of Gauss–Legendre quadrature between two ends, each with its weight. */
export function gaussLegendre(from: number, to: number, take: (x: number, weight: number) => void): void {
  const middle = (from + to) / 2
  const half = (to - from) / 2
  for (let i = 0; i < NODES.length; i++) {
    take(middle - half * NODES[i]!, half * WEIGHTS[i]!)
    take(middle + half * NODES[i]!, half * WEIGHTS[i]!)
  }
}
