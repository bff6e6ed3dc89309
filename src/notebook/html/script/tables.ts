/**
 * Tables sort by their headings and have a search box; filters and the span of time narrow them. Of a large table the rows
 * are packed, unpacked once they are wanted, and shown a hundred at a time.
 */
export const TABLES = `
const collator=new Intl.Collator('en',{numeric:true})
const facetsOf=e=>(e.dataset.f||'').split(' ').filter(Boolean).map(Number)
const STEP=100
const tables=new Map()
const setTable=box=>{
 const table=box.querySelector('table'),body=table.tBodies[0],head=[...table.tHead.rows[0].cells],pack=box.querySelector('script.rows')
 const classes=head.map(th=>th.className)
 const own=el=>({el,f:facetsOf(el),t:el.dataset.t?+el.dataset.t:null,id:el.id,
  text:()=>el.textContent.toLowerCase(),value:i=>{const c=el.cells[i];return c.dataset.v!==undefined?+c.dataset.v:c.textContent}})
 const lazy=([cells,f,id,t])=>{let el;const words=c=>Array.isArray(c)?c[0]:c
  return{f,t,id,text:()=>cells.map(words).join(' ').toLowerCase(),value:i=>{const c=cells[i];return Array.isArray(c)&&typeof c[1]==='number'?c[1]:words(c)},
   get el(){if(!el){el=make('tr',id?{id}:{},...cells.map((c,i)=>{const link=Array.isArray(c)&&typeof c[1]==='string'
    return make('td',{className:classes[i]},link?make('a',{href:c[1],textContent:c[0]}):words(c))}))}return el}}}
 let rows=[...body.rows].map(own),whole=!pack,keep='',limit=pack?STEP:Infinity,query='',sort=null
 const count=make('span',{role:'status'}),more=make('button',{type:'button',textContent:'Show '+STEP+' more',hidden:true})
 const grouped=n=>String(n).replace(/\\B(?=(\\d{3})+$)/g,n>9999?'\\u202f':'')
 const draw=()=>{const hits=rows.filter(r=>keep&&r.id===keep||(!query||r.text().includes(query))&&passes(r.f)&&(!state.span||r.t===null||r.t===undefined||r.t>=state.span[0]&&r.t<state.span[1]+DAY))
  if(sort)hits.sort((a,b)=>{const x=a.value(sort.i),y=b.value(sort.i)
   if(x==='')return 1;if(y==='')return -1
   const o=typeof x==='number'&&typeof y==='number'?x-y:collator.compare(String(x),String(y));return sort.down?-o:o})
  if(keep)limit=Math.max(limit,hits.findIndex(r=>r.id===keep)+1)
  if(pack)body.replaceChildren(...hits.slice(0,limit).map(r=>r.el))
  else{const on=new Set(hits);for(const r of rows)r.el.hidden=!on.has(r);if(sort)body.append(...hits.map(r=>r.el))}
  more.hidden=hits.length<=limit
  count.textContent=(hits.length===rows.length?grouped(rows.length)+' rows':grouped(hits.length)+' of '+grouped(rows.length)+' rows')+(more.hidden?'':', the first '+limit+' shown')}
 const load=async()=>{if(whole)return;whole=true;rows=JSON.parse(await unpack(pack)).map(lazy)}
 const again=async()=>{keep='';await load();draw()}
 head.forEach((th,i)=>{const button=make('button',{type:'button',textContent:th.textContent});th.replaceChildren(button)
  button.addEventListener('click',()=>{const down=th.getAttribute('aria-sort')==='ascending'
   for(const other of head)other.removeAttribute('aria-sort')
   th.setAttribute('aria-sort',down?'descending':'ascending');sort={i,down};again()})})
 if('search'in box.dataset){const input=make('input',{type:'search'})
  input.addEventListener('input',()=>{query=input.value.trim().toLowerCase();limit=pack?STEP:Infinity;again()})
  box.prepend(make('div',{className:'tools'},make('label',{},'Search ',input),count))
  count.textContent=rows.length+' rows'}
 if(pack){const note=box.querySelector('.part');more.addEventListener('click',async()=>{await load();limit+=STEP;draw()})
  note.replaceWith(make('div',{className:'tools'},more));more.hidden=false;count.textContent=note.textContent.split('. ')[0]+'.'}
 tables.set(box,{again,find:async id=>{await load();const at=rows.findIndex(r=>r.id===id);if(at<0)return null;keep=id;draw();return rows[at].el}})
 if((state.filter.size||state.span)&&(box.dataset.follows||box.querySelector('tr[data-t]')))again()}
listeners.push(()=>{for(const box of tables.keys())if(!box.isConnected)tables.delete(box)
 return Promise.all([...tables].filter(([box])=>box.dataset.follows||box.querySelector('tr[data-t]')).map(([,t])=>t.again()))})
`
