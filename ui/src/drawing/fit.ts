import type { DisplayList } from '../wire/DisplayList'

/** The sheet on which words come out larger in this room, px; the first where they are alike or the room is not known. */
export function larger(list: DisplayList, wide: DisplayList | null | undefined, width: number, height: number): DisplayList {
  const scale = (one: DisplayList): number => Math.min(width / one.width, height / one.height)
  return wide && width > 0 && height > 0 && scale(wide) > scale(list) * 1.01 ? wide : list
}
