// @ts-check
export function Hearing() {
  return null;
}
