/** Whether a key stroke writes into a field, so that letters are letters there. */
export function isTyping(event: KeyboardEvent): boolean {
  const target = event.target
  if (target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement) return true
  return target instanceof HTMLInputElement && !['button', 'checkbox', 'radio'].includes(target.type)
}

/**
 * The letter or key of a screen, or `null` when the stroke is not meant for the screen: it writes
 * into a field, carries Ctrl, Alt or the like, is held down, or somebody has taken it already.
 */
export function screenKey(event: KeyboardEvent): string | null {
  if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return null
  if (isTyping(event)) return null
  if (event.repeat && !event.key.startsWith('Arrow')) return null
  return event.key.length === 1 ? event.key.toLowerCase() : event.key
}

/** A fresh Backspace in a field that is empty: puts the form away. Holding the key to clear it does not. */
export function putsAway(event: KeyboardEvent): boolean {
  if (event.key !== 'Backspace' || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return false
  const target = event.target
  if (target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement) return target.value === ''
  return true
}

/** Listens on what is put away by `putsAway`, before anything around it does. */
export const awayKey = (onaway: () => void) => (node: HTMLElement): (() => void) => {
  const onkeydown = (event: KeyboardEvent): void => {
    if (!putsAway(event)) return
    event.preventDefault()
    event.stopPropagation()
    onaway()
  }
  node.addEventListener('keydown', onkeydown)
  return () => node.removeEventListener('keydown', onkeydown)
}

/** Whether a key press on this element means something to the element itself (Enter and Space on a button). */
export function hasOwnPress(event: KeyboardEvent): boolean {
  return event.target instanceof HTMLButtonElement || event.target instanceof HTMLAnchorElement
}
