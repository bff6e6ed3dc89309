import { CORE } from './script/core.ts'
import { FILTERS } from './script/filters.ts'
import { LIVE } from './script/live.ts'
import { PRINTING } from './script/printing.ts'
import { SLIDES } from './script/slides.ts'
import { TABLES } from './script/tables.ts'

const PLACES = `
const view=async whole=>{if(whole){await changed('filter',true);await changed('span',true)};await reveal()}
addEventListener('hashchange',()=>view(readAddress()))
document.addEventListener('click',e=>{const link=e.target instanceof Element&&e.target.closest('a[href^="#"]')
 if(!link||!state.filter.size&&!state.span)return
 e.preventDefault();state.to=placeOf(link.getAttribute('href').slice(1));history.pushState(null,'',address());reveal()})
setUp(document)
readAddress()
view(state.filter.size>0||!!state.span)
`

/**
 * What a page does beyond being read, all of it also there without: tables sort and search, filters narrow the page, charts
 * come alive, links to a place within a fold open the fold, and the page runs as slides.
 */
export const SCRIPT = `(()=>{'use strict'${CORE}${TABLES}${LIVE}${FILTERS}${SLIDES}${PRINTING}${PLACES}})()
`
