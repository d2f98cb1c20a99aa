// @ts-check
export function Chain() {
  return null;
}
