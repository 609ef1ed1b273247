/** Most options in sight at once. */
const IN_SIGHT = 8

const opens = (event: KeyboardEvent): boolean =>
  !event.ctrlKey && !event.metaKey && [' ', 'ArrowDown', 'ArrowUp'].includes(event.key)

/**
 * Opens a list of options in its place on the page. The system's own list is a window beside ours that keeps every key to
 * itself until it is closed: Escape would close it and never call STOP.
 */
export function unfolds(select: HTMLSelectElement): () => void {
  let open = false
  const fold = (): void => {
    open = false
    select.removeAttribute('size')
  }
  const unfold = (event: Event): void => {
    event.preventDefault()
    open = true
    select.setAttribute('size', `${Math.max(2, Math.min(IN_SIGHT, select.options.length))}`)
    select.focus()
  }
  const onmousedown = (event: MouseEvent): void => {
    if (!open) unfold(event)
  }
  const onkeydown = (event: KeyboardEvent): void => {
    if (!open) {
      if (opens(event)) unfold(event)
    } else if (event.key === 'Enter' || event.key === ' ') {
      // Chosen: it does not record the form too.
      event.preventDefault()
      fold()
    }
  }
  const onmouseup = (event: MouseEvent): void => {
    if (open && event.target instanceof HTMLOptionElement) fold()
  }
  select.addEventListener('mousedown', onmousedown)
  select.addEventListener('mouseup', onmouseup)
  select.addEventListener('keydown', onkeydown)
  select.addEventListener('blur', fold)
  return () => {
    select.removeEventListener('mousedown', onmousedown)
    select.removeEventListener('mouseup', onmouseup)
    select.removeEventListener('keydown', onkeydown)
    select.removeEventListener('blur', fold)
  }
}
