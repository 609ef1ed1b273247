// What was typed on the page of working figures, kept while another screen is looked at.
class Figures {
  sum = $state('')
  /** By sum, then by field. */
  typed = $state<Record<string, Record<string, string>>>({})
}

export const figures = new Figures()
