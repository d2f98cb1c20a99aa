// @ts-check
export function Side() {
  return null;
}
