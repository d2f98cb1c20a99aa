// @ts-check
export function Notices() {
  return null;
}
