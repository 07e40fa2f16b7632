/**
 * Lower triangular factor of a symmetric matrix, row by row; undefined when the matrix is not
 * positive definite (a pivot at or below `smallestPivot`).
 */
export function choleskyFactor(
  matrix: readonly (readonly number[])[],
  smallestPivot = 1e-12,
): number[][] | undefined {
  const factor: number[][] = [];
  for (let row = 0; row < matrix.length; row += 1) {
    const line: number[] = [];
    for (let column = 0; column <= row; column += 1) {
      let sum = matrix[row]![column]!;
      for (let k = 0; k < column; k += 1)
        sum -= line[k]! * (column === row ? line[k]! : factor[column]![k]!);
      if (column < row) line.push(sum / factor[column]![column]!);
      else if (sum > smallestPivot) line.push(Math.sqrt(sum));
      else return undefined;
    }
    factor.push(line);
  }
  return factor;
}
