/**
 * The filter bar. Rows and entries that are about something else are hidden; parts that were worked out for the value
 * chosen take the place of the whole; whatever does not follow the filter says so. No number is computed here.
 */
export const FILTERS = `
const packs={facets:document.getElementById('facets'),variants:document.getElementById('variants')}
const facetNumbers=new Map(),facetNames=[]
const bar=document.querySelector('details.filters')
const selects=bar?[...bar.querySelectorAll('select')]:[]
for(const s of selects)dimensions.set(s.dataset.name,[...s.options].map(o=>o.value).filter(Boolean))
let active=[]
const passes=f=>active.every(({name,at})=>f.includes(at)||!f.some(n=>facetNames[n]===name))
let variants=null,wholes=new Map(),asked=0
const learn=async()=>{if(variants)return
 const[names,html]=await Promise.all([unpack(packs.facets),unpack(packs.variants)])
 JSON.parse(names).forEach(([name,value],i)=>{facetNumbers.set(name+'\\n'+value,i);facetNames[i]=name})
 variants=JSON.parse(html)}
const setUp=root=>{for(const box of root.querySelectorAll('.tablebox'))setTable(box);for(const fig of root.querySelectorAll('figure'))setFigure(fig)}
const showPart=box=>{const at=active.length===1?active[0].at:-1,html=at<0?undefined:variants[box.dataset.variants][at],key=html===undefined?'':String(at)
 if((box.dataset.part||'')===key)return
 if(!wholes.has(box))wholes.set(box,[...box.childNodes])
 for(const fig of box.querySelectorAll('figure'))if(alive.has(fig.id))still(fig)
 box.dataset.part=key
 if(key===''){box.replaceChildren(...wholes.get(box));return}
 const part=make('template',{innerHTML:html}).content;box.replaceChildren(part);setUp(box)}
const notFollowing=box=>{if(!active.length)return''
 if(box.dataset.variants!==undefined)return box.dataset.part?'':active.length>1?'The whole caseload, not narrowed: these figures are worked out for one choice at a time.':'The whole caseload: these figures are not worked out for this choice.'
 const follows=JSON.parse(box.dataset.follows||'[]'),not=active.filter(a=>!follows.includes(a.name))
 return !not.length?'':not.length===active.length?'The whole caseload, not narrowed.':'Not narrowed by '+not.map(a=>a.name.toLowerCase()).join(', ')+'.'}
const sayWholes=()=>{for(const old of document.querySelectorAll('p.whole'))old.remove()
 for(const box of document.querySelectorAll('main .variants,main figure,main .tablebox,main ul.tiles,main .entriesbox,main .notice.urgent')){
  if(box.parentElement.closest('.variants,figure')&&!box.classList.contains('variants'))continue
  const text=notFollowing(box);if(!text)continue
  const note=make('p',{className:'whole',textContent:text})
  if(active.length>1&&box.dataset.variants!==undefined)note.append(...active.filter(a=>a.at in variants[box.dataset.variants]).map(onlyButton));
  (box.matches('ul')?box.before.bind(box):box.prepend.bind(box))(note)}}
const narrowedTo=all=>all.map(a=>a.name.toLowerCase()+' '+a.value).join(' and ')
const onlyButton=a=>{const button=make('button',{type:'button',textContent:'Only '+narrowedTo([a])})
 button.addEventListener('click',()=>{state.filter.clear();state.filter.set(a.name,a.value);changed('filter');selects.find(s=>s.dataset.name===a.name)?.focus({preventScroll:true})})
 return button}
const urgentHidden=()=>{const all=[...document.querySelectorAll('.entriesbox[data-search] li.urgent')],n=all.filter(e=>!passes(facetsOf(e))).length
 return n?'; '+n+' of '+all.length+' urgent entries hidden':''}
const narrowEntries=box=>{const query=box.querySelector('input[type=search]')?.value.trim().toLowerCase()||'',on=query||active.length
 let all=0,shown=0
 for(const item of box.querySelectorAll('ol.entries>li')){item.hidden=!((!query||item.textContent.toLowerCase().includes(query))&&passes(facetsOf(item)));all++;if(!item.hidden)shown++}
 for(const group of box.querySelectorAll('section.group')){const items=[...group.querySelectorAll('ol.entries>li')],n=items.filter(i=>!i.hidden).length
  group.hidden=!n;group.querySelector('.count').textContent=on?n+' of '+items.length:items.length
  const id=group.querySelector('h3').id,chip=[...box.querySelectorAll('ul.reasons a')].find(a=>a.getAttribute('href')==='#'+id)
  if(chip){chip.parentElement.hidden=!n;chip.querySelector('b').textContent=n}}
 for(const fold of box.querySelectorAll('details')){const summary=fold.querySelector('summary'),n=[...fold.querySelectorAll('ol.entries>li')].filter(i=>!i.hidden).length
  summary.dataset.was??=summary.textContent
  summary.textContent=on?n+' more':summary.dataset.was;fold.hidden=!n
  if(query&&n&&!fold.open){fold.open=true;fold.dataset.opened=''}else if(!query&&'opened'in fold.dataset){fold.open=false;delete fold.dataset.opened}}
 const say=box.querySelector('.tools [role=status]');if(say)say.textContent=on?shown+' of '+all+' shown':all+' in all'}
for(const box of document.querySelectorAll('.entriesbox[data-search]')){
 const input=make('input',{type:'search'});input.addEventListener('input',()=>narrowEntries(box))
 box.prepend(make('div',{className:'tools'},make('label',{},'Search ',input),make('span',{role:'status'})));narrowEntries(box)}
const now=make('div',{className:'narrowed',hidden:true},make('span',{role:'status'}),make('button',{type:'button',textContent:'Show everything'}))
now.lastChild.addEventListener('click',()=>{state.filter.clear();changed('filter');selects[0]?.focus()})
document.querySelector('nav.contents')?.append(now)
for(const s of selects)s.addEventListener('change',()=>{if(s.value)state.filter.set(s.dataset.name,s.value);else state.filter.delete(s.dataset.name);changed('filter')})
listeners.unshift(async what=>{if(what!=='filter'||!bar)return
 const turn=++asked;if(packs.facets)await learn();if(turn!==asked)return
 for(const s of selects)s.value=state.filter.get(s.dataset.name)||''
 active=[...state.filter].map(([name,value])=>({name,value,at:facetNumbers.get(name+'\\n'+value)??-2}))
 if(active.length)bar.open=true
 for(const box of document.querySelectorAll('.variants'))showPart(box)
 for(const box of document.querySelectorAll('.entriesbox'))narrowEntries(box)
 sayWholes()
 now.hidden=!active.length;now.firstChild.textContent=active.length?'Narrowed to '+narrowedTo(active)+urgentHidden():''
 document.documentElement.classList.toggle('filtered',active.length>0)})
`
