// @ts-check
export function Contour() {
  return null;
}
