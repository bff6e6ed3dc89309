/** Folds that belong on paper are open while the page is printed. */
export const PRINTING = `
let opened=[]
addEventListener('beforeprint',()=>{opened=[...document.querySelectorAll('details.print:not([open])')];for(const d of opened)d.open=true})
addEventListener('afterprint',()=>{for(const d of opened)d.open=false})
`
