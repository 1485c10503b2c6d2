<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="de_DE">
    <context>
        <name>AboutDialog</name>
        <message>
            <source>About Corestow</source>
            <translation>Über Corestow</translation>
        </message>
        <message>
            <source>Corestow {0} plans builds of binder-jet printed sand cores.</source>
            <translation>Corestow {0} plant Bauten von Sandkernen aus dem Binder-Jetting.</translation>
        </message>
        <message>
            <source>Its figures are estimates. Silica dust, alkaline binder, microwaves, heavy loads, and moisture under molten metal are hazards: local codes and licensed practice come first.</source>
            <translation>Seine Zahlen sind Schätzungen. Quarzstaub, alkalischer Binder, Mikrowellen, schwere Lasten und Feuchte unter Schmelze sind Gefahren: örtliche Vorschriften und zugelassene Fachpraxis gehen vor.</translation>
        </message>
        <message>
            <source>Licences</source>
            <translation>Lizenzen</translation>
        </message>
    </context>
    <context>
        <name>BoxPage</name>
        <message>
            <source>Box and gaps</source>
            <translation>Kasten und Abstände</translation>
        </message>
        <message>
            <source>Rule</source>
            <translation>Vorgabe</translation>
        </message>
        <message>
            <source>Value</source>
            <translation>Wert</translation>
        </message>
        <message>
            <source>Stated by</source>
            <translation>Angegeben von</translation>
        </message>
        <message>
            <source>Placements</source>
            <translation>Lagen</translation>
        </message>
        <message>
            <source>Core</source>
            <translation>Kern</translation>
        </message>
        <message>
            <source>Copy</source>
            <translation>Stück</translation>
        </message>
        <message>
            <source>Casting</source>
            <translation>Guss</translation>
        </message>
        <message>
            <source>Lies</source>
            <translation>Liegt</translation>
        </message>
        <message>
            <source>Placed by</source>
            <translation>Gelegt von</translation>
        </message>
        <message>
            <source>Gap between cores</source>
            <translation>Abstand der Kerne</translation>
        </message>
        <message>
            <source>Margin to the walls</source>
            <translation>Abstand zu den Wänden</translation>
        </message>
        <message>
            <source>Margin to the floor</source>
            <translation>Abstand zum Boden</translation>
        </message>
        <message>
            <source>Margin to the top</source>
            <translation>Abstand nach oben</translation>
        </message>
        <message>
            <source>Inner length (x)</source>
            <translation>Innere Länge (x)</translation>
        </message>
        <message>
            <source>Inner width (y)</source>
            <translation>Innere Breite (y)</translation>
        </message>
        <message>
            <source>Inner height (z)</source>
            <translation>Innere Höhe (z)</translation>
        </message>
        <message>
            <source>Witness bars in each box</source>
            <translation>Prüfstäbe je Kasten</translation>
        </message>
        <message>
            <source>Accuracy coupons in each box</source>
            <translation>Maßproben je Kasten</translation>
        </message>
        <message>
            <source>the job</source>
            <translation>Auftrag</translation>
        </message>
        <message>
            <source>the profile</source>
            <translation>Profil</translation>
        </message>
        <message>
            <source>The profile has {0}; Delete takes it.</source>
            <translation>Im Profil steht {0}; Entf übernimmt es.</translation>
        </message>
        <message>
            <source>hand</source>
            <translation>Hand</translation>
        </message>
        <message>
            <source>search</source>
            <translation>Suche</translation>
        </message>
        <message>
            <source>Placements in box {0}: {1} cores, {2} high</source>
            <translation>Lagen in Kasten {0}: {1} Kerne, {2} hoch</translation>
        </message>
        <message>
            <source>{0} down</source>
            <translation>{0} nach unten</translation>
        </message>
        <message>
            <source>{0} down, turned {1}°</source>
            <translation>{0} nach unten, gedreht um {1}°</translation>
        </message>
    </context>
    <context>
        <name>BoxView</name>
        <message>
            <source>Box with its cores in 3D</source>
            <translation>Kasten mit seinen Kernen in 3D</translation>
        </message>
        <message>
            <source>Click: choose a core. Left drag: turn. Right or middle drag: move. Wheel: zoom. Double click or Home: whole box.</source>
            <translation>Klick: Kern wählen. Linke Taste ziehen: drehen. Rechte oder mittlere Taste ziehen: verschieben. Rad: zoomen. Doppelklick oder Pos1: ganzer Kasten.</translation>
        </message>
        <message>
            <source>Open a job, or drop a job file or the mesh files of cores here.</source>
            <translation>Öffnen Sie einen Auftrag, oder ziehen Sie eine Auftragsdatei oder die Netzdateien von Kernen hierher.</translation>
        </message>
        <message>
            <source>3D needs OpenGL, which this computer does not offer.</source>
            <translation>3D braucht OpenGL; dieser Rechner bietet es nicht.</translation>
        </message>
    </context>
    <context>
        <name>ComparePage</name>
        <message>
            <source>Keep this plan</source>
            <translation>Diesen Plan merken</translation>
        </message>
        <message>
            <source>Lay the plan shown beside the others.</source>
            <translation>Den gezeigten Plan neben die anderen legen.</translation>
        </message>
        <message>
            <source>Add a plan file…</source>
            <translation>Plandatei hinzufügen …</translation>
        </message>
        <message>
            <source>Clear</source>
            <translation>Leeren</translation>
        </message>
        <message>
            <source>Clear the comparison</source>
            <translation>Vergleich leeren</translation>
        </message>
        <message>
            <source>Plans side by side</source>
            <translation>Pläne nebeneinander</translation>
        </message>
        <message>
            <source>Printed area over height of all plans</source>
            <translation>Druckfläche über der Höhe aller Pläne</translation>
        </message>
        <message>
            <source>printed area, cm²</source>
            <translation>Druckfläche, cm²</translation>
        </message>
        <message>
            <source>height, mm</source>
            <translation>Höhe, mm</translation>
        </message>
        <message>
            <source>Add a plan</source>
            <translation>Plan hinzufügen</translation>
        </message>
        <message>
            <source>Plans (plan.json);;All files (*)</source>
            <translation>Pläne (plan.json);;Alle Dateien (*)</translation>
        </message>
        <message>
            <source>Figure</source>
            <translation>Größe</translation>
        </message>
        <message>
            <source>Keep a plan, change the job, plan again and keep that too; or add plan files.</source>
            <translation>Merken Sie einen Plan, ändern Sie den Auftrag, planen Sie neu und merken Sie auch diesen; oder fügen Sie Plandateien hinzu.</translation>
        </message>
        <message>
            <source>Height of the beds</source>
            <translation>Höhe der Betten</translation>
        </message>
        <message>
            <source>Core in the bed</source>
            <translation>Kern im Bett</translation>
        </message>
        <message>
            <source>Cost of a casting set</source>
            <translation>Kosten eines Gusssatzes</translation>
        </message>
        <message>
            <source>Unpacking and finishing</source>
            <translation>Auspacken und Nacharbeit</translation>
        </message>
        <message>
            <source>Pieces over the hand limit</source>
            <translation>Stücke über der Handgrenze</translation>
        </message>
        <message>
            <source>Findings: stop</source>
            <translation>Befunde: Stopp</translation>
        </message>
        <message>
            <source>Findings: check</source>
            <translation>Befunde: Prüfen</translation>
        </message>
        <message>
            <source>best: {0}</source>
            <translation>am besten: {0}</translation>
        </message>
    </context>
    <context>
        <name>CoresPage</name>
        <message>
            <source>Casting sets</source>
            <translation>Gusssätze</translation>
        </message>
        <message>
            <source>Casting set</source>
            <translation>Gusssatz</translation>
        </message>
        <message>
            <source>Castings</source>
            <translation>Güsse</translation>
        </message>
        <message>
            <source>Cores in one</source>
            <translation>Kerne für einen Guss</translation>
        </message>
        <message>
            <source>Cores</source>
            <translation>Kerne</translation>
        </message>
        <message>
            <source>Core</source>
            <translation>Kern</translation>
        </message>
        <message>
            <source>Copies</source>
            <translation>Stück</translation>
        </message>
        <message>
            <source>Spares</source>
            <translation>Ersatz</translation>
        </message>
        <message>
            <source>Own gap</source>
            <translation>Eigener Abstand</translation>
        </message>
        <message>
            <source>May lie</source>
            <translation>Darf liegen</translation>
        </message>
        <message>
            <source>Mass</source>
            <translation>Masse</translation>
        </message>
        <message>
            <source>Cost each</source>
            <translation>Kosten je Stück</translation>
        </message>
        <message>
            <source>Castings of {0}</source>
            <translation>Güsse von {0}</translation>
        </message>
        <message>
            <source>Spares of {0}</source>
            <translation>Ersatz von {0}</translation>
        </message>
        <message>
            <source>Gap of {0}</source>
            <translation>Abstand von {0}</translation>
        </message>
        <message>
            <source>Orientations of {0}</source>
            <translation>Ausrichtungen von {0}</translation>
        </message>
        <message>
            <source>{0} mm, {1}, {2} triangles</source>
            <translation>{0} mm, {1}, {2} Dreiecke</translation>
        </message>
        <message>
            <source>any right angle</source>
            <translation>jeder rechte Winkel</translation>
        </message>
        <message>
            <source>as modelled, turned</source>
            <translation>wie modelliert, gedreht</translation>
        </message>
        <message>
            <source>as modelled</source>
            <translation>wie modelliert</translation>
        </message>
        <message>
            <source>on stated faces</source>
            <translation>auf angegebenen Flächen</translation>
        </message>
    </context>
    <context>
        <name>Desk</name>
        <message>
            <source>Findings</source>
            <translation>Befunde</translation>
        </message>
        <message>
            <source>Findings: {0}</source>
            <translation>Befunde: {0}</translation>
        </message>
        <message>
            <source>none</source>
            <translation>keine</translation>
        </message>
        <message>
            <source>No plan yet</source>
            <translation>Noch kein Plan</translation>
        </message>
        <message>
            <source>Layer {0} of {1} · {2} mm above the floor</source>
            <translation>Schicht {0} von {1} · {2} mm über dem Boden</translation>
        </message>
    </context>
    <context>
        <name>FindingsModel</name>
        <message>
            <source>Stop</source>
            <translation>Stopp</translation>
        </message>
        <message>
            <source>Check</source>
            <translation>Prüfen</translation>
        </message>
        <message>
            <source>Note</source>
            <translation>Hinweis</translation>
        </message>
        <message>
            <source>box {0}</source>
            <translation>Kasten {0}</translation>
        </message>
        <message>
            <source>layer {0}</source>
            <translation>Schicht {0}</translation>
        </message>
        <message>
            <source>layers {0} to {1}</source>
            <translation>Schichten {0} bis {1}</translation>
        </message>
    </context>
    <context>
        <name>FindingsView</name>
        <message>
            <source>Findings</source>
            <translation>Befunde</translation>
        </message>
    </context>
    <context>
        <name>HeightRule</name>
        <message>
            <source>Height rule: layer shown</source>
            <translation>Höhenmaßstab: gezeigte Schicht</translation>
        </message>
        <message>
            <source>Drag or click to choose the layer. Arrow keys: one layer; Page keys: ten; Home, End.</source>
            <translation>Ziehen oder klicken wählt die Schicht. Pfeiltasten: eine Schicht; Bildtasten: zehn; Pos1, Ende.</translation>
        </message>
        <message>
            <source>height, mm</source>
            <translation>Höhe, mm</translation>
        </message>
        <message>
            <source>layer</source>
            <translation>Schicht</translation>
        </message>
        <message>
            <source>printed area, cm²</source>
            <translation>Druckfläche, cm²</translation>
        </message>
        <message>
            <source>no plan</source>
            <translation>kein Plan</translation>
        </message>
        <message>
            <source>layer {0} of {1}, {2} mm</source>
            <translation>Schicht {0} von {1}, {2} mm</translation>
        </message>
    </context>
    <context>
        <name>KeyFigures</name>
        <message>
            <source>Boxes</source>
            <translation>Kästen</translation>
        </message>
        <message>
            <source>Cores</source>
            <translation>Kerne</translation>
        </message>
        <message>
            <source>Layers</source>
            <translation>Schichten</translation>
        </message>
        <message>
            <source>Build time</source>
            <translation>Bauzeit</translation>
        </message>
        <message>
            <source>Binder</source>
            <translation>Binder</translation>
        </message>
        <message>
            <source>Bed sand</source>
            <translation>Sand im Bett</translation>
        </message>
        <message>
            <source>Cost</source>
            <translation>Kosten</translation>
        </message>
        <message>
            <source>The job has changed since this plan: plan again (F5).</source>
            <translation>Der Auftrag hat sich seit diesem Plan geändert: neu planen (F5).</translation>
        </message>
    </context>
    <context>
        <name>LayerView</name>
        <message>
            <source>Layer from above</source>
            <translation>Schicht von oben</translation>
        </message>
        <message>
            <source>Wheel: zoom. Drag: move. Double click or Home: the whole box.</source>
            <translation>Rad: zoomen. Ziehen: verschieben. Doppelklick oder Pos1: ganzer Kasten.</translation>
        </message>
        <message>
            <source>y, mm</source>
            <translation>y, mm</translation>
        </message>
        <message>
            <source>x, mm</source>
            <translation>x, mm</translation>
        </message>
    </context>
    <context>
        <name>LayersPage</name>
        <message>
            <source>No plan yet</source>
            <translation>Noch kein Plan</translation>
        </message>
        <message>
            <source>Printed area {0} cm² · outline {1} m · binder {2} · time {3}</source>
            <translation>Druckfläche {0} cm² · Umriss {1} m · Binder {2} · Zeit {3}</translation>
        </message>
    </context>
    <context>
        <name>MainWindow</name>
        <message>
            <source>Box shown</source>
            <translation>Gezeigter Kasten</translation>
        </message>
        <message>
            <source>Progress of the plan</source>
            <translation>Fortschritt des Plans</translation>
        </message>
        <message>
            <source>&amp;New job from meshes…</source>
            <translation>&amp;Neuer Auftrag aus Netzen …</translation>
        </message>
        <message>
            <source>&amp;Open job…</source>
            <translation>Auftrag ö&amp;ffnen …</translation>
        </message>
        <message>
            <source>Save &amp;job</source>
            <translation>Auftrag &amp;speichern</translation>
        </message>
        <message>
            <source>&amp;Plan</source>
            <translation>&amp;Planen</translation>
        </message>
        <message>
            <source>&amp;Stop</source>
            <translation>S&amp;topp</translation>
        </message>
        <message>
            <source>&amp;Write sheets…</source>
            <translation>&amp;Blätter schreiben …</translation>
        </message>
        <message>
            <source>&amp;Quit</source>
            <translation>B&amp;eenden</translation>
        </message>
        <message>
            <source>&amp;Undo</source>
            <translation>&amp;Rückgängig</translation>
        </message>
        <message>
            <source>&amp;Redo</source>
            <translation>&amp;Wiederholen</translation>
        </message>
        <message>
            <source>&amp;Job</source>
            <translation>&amp;Auftrag</translation>
        </message>
        <message>
            <source>Open &amp;recent</source>
            <translation>&amp;Zuletzt geöffnet</translation>
        </message>
        <message>
            <source>&amp;Edit</source>
            <translation>&amp;Bearbeiten</translation>
        </message>
        <message>
            <source>&amp;View</source>
            <translation>A&amp;nsicht</translation>
        </message>
        <message>
            <source>&amp;About and licences</source>
            <translation>&amp;Über Corestow und Lizenzen</translation>
        </message>
        <message>
            <source>&amp;Help</source>
            <translation>&amp;Hilfe</translation>
        </message>
        <message>
            <source>Box from its &amp;corner</source>
            <translation>Kasten von der &amp;Ecke</translation>
        </message>
        <message>
            <source>Box from the &amp;front</source>
            <translation>Kasten von &amp;vorn</translation>
        </message>
        <message>
            <source>Box from the &amp;left</source>
            <translation>Kasten von &amp;links</translation>
        </message>
        <message>
            <source>Box from &amp;above</source>
            <translation>Kasten von &amp;oben</translation>
        </message>
        <message>
            <source>C&amp;ut cores at the layer</source>
            <translation>Kerne an der Schicht sch&amp;neiden</translation>
        </message>
        <message>
            <source>Work</source>
            <translation>Arbeit</translation>
        </message>
        <message>
            <source>Box</source>
            <translation>Kasten</translation>
        </message>
        <message>
            <source>Pages</source>
            <translation>Seiten</translation>
        </message>
        <message>
            <source>Cores</source>
            <translation>Kerne</translation>
        </message>
        <message>
            <source>Layers</source>
            <translation>Schichten</translation>
        </message>
        <message>
            <source>Process</source>
            <translation>Prozess</translation>
        </message>
        <message>
            <source>Time and cost</source>
            <translation>Zeit und Kosten</translation>
        </message>
        <message>
            <source>Compare</source>
            <translation>Vergleich</translation>
        </message>
        <message>
            <source>The work was stopped.</source>
            <translation>Die Arbeit wurde angehalten.</translation>
        </message>
        <message>
            <source>Open job</source>
            <translation>Auftrag öffnen</translation>
        </message>
        <message>
            <source>Jobs (*.json);;All files (*)</source>
            <translation>Aufträge (*.json);;Alle Dateien (*)</translation>
        </message>
        <message>
            <source>A plan is being made; stop it before another job is opened.</source>
            <translation>Ein Plan wird gerade gemacht; halten Sie ihn an, bevor Sie einen anderen Auftrag öffnen.</translation>
        </message>
        <message>
            <source>This job is open in another window; what is saved last stays.</source>
            <translation>Dieser Auftrag ist in einem anderen Fenster offen; was zuletzt gespeichert wird, bleibt.</translation>
        </message>
        <message>
            <source>Changes were recovered</source>
            <translation>Änderungen wurden wiedergefunden</translation>
        </message>
        <message>
            <source>Corestow ended before changes to this job were saved. Take them up again?</source>
            <translation>Corestow endete, bevor Änderungen an diesem Auftrag gespeichert waren. Wieder aufnehmen?</translation>
        </message>
        <message>
            <source>recovered changes</source>
            <translation>wiedergefundene Änderungen</translation>
        </message>
        <message>
            <source>Folder for the sheets</source>
            <translation>Ordner für die Blätter</translation>
        </message>
        <message>
            <source>{0} files are in {1}</source>
            <translation>{0} Dateien liegen in {1}</translation>
        </message>
        <message>
            <source>Something went wrong ({0}); see the log {1}.</source>
            <translation>Etwas ging schief ({0}); siehe das Protokoll {1}.</translation>
        </message>
        <message>
            <source>An internal fault was written to the log {0}.</source>
            <translation>Ein interner Fehler steht im Protokoll {0}.</translation>
        </message>
        <message>
            <source>Cores of the new job</source>
            <translation>Kerne des neuen Auftrags</translation>
        </message>
        <message>
            <source>Meshes ({0})</source>
            <translation>Netze ({0})</translation>
        </message>
        <message>
            <source>Changes are not saved</source>
            <translation>Änderungen sind nicht gespeichert</translation>
        </message>
        <message>
            <source>The job has changes that are not saved. Save them?</source>
            <translation>Der Auftrag hat Änderungen, die nicht gespeichert sind. Speichern?</translation>
        </message>
        <message>
            <source>{0} of {1} ({2} cores)</source>
            <translation>{0} von {1} ({2} Kerne)</translation>
        </message>
        <message>
            <source>No job was opened yet</source>
            <translation>Noch wurde kein Auftrag geöffnet</translation>
        </message>
    </context>
    <context>
        <name>NewJob</name>
        <message>
            <source>Length unit of the meshes</source>
            <translation>Längeneinheit der Netze</translation>
        </message>
        <message>
            <source>The files do not say their length unit. It is:</source>
            <translation>Die Dateien nennen ihre Längeneinheit nicht. Sie ist:</translation>
        </message>
        <message>
            <source>Save the new job as</source>
            <translation>Neuen Auftrag speichern unter</translation>
        </message>
        <message>
            <source>Jobs (*.json)</source>
            <translation>Aufträge (*.json)</translation>
        </message>
    </context>
    <context>
        <name>NoticeStrip</name>
        <message>
            <source>Close</source>
            <translation>Schließen</translation>
        </message>
        <message>
            <source>Close this notice</source>
            <translation>Diese Meldung schließen</translation>
        </message>
    </context>
    <context>
        <name>ProcessPage</name>
        <message>
            <source>Find a value</source>
            <translation>Wert suchen</translation>
        </message>
        <message>
            <source>Profile values</source>
            <translation>Profilwerte</translation>
        </message>
        <message>
            <source>Value</source>
            <translation>Wert</translation>
        </message>
        <message>
            <source>Evidence</source>
            <translation>Beleg</translation>
        </message>
        <message>
            <source>Profile value</source>
            <translation>Profilwert</translation>
        </message>
        <message>
            <source>allowed: {0}</source>
            <translation>erlaubt: {0}</translation>
        </message>
        <message>
            <source>source: {0}</source>
            <translation>Quelle: {0}</translation>
        </message>
        <message>
            <source>the profile has {0}; Delete takes it</source>
            <translation>im Profil steht {0}; Entf übernimmt es</translation>
        </message>
        <message>
            <source>changed</source>
            <translation>geändert</translation>
        </message>
        <message>
            <source>Process</source>
            <translation>Prozess</translation>
        </message>
        <message>
            <source>Machine</source>
            <translation>Maschine</translation>
        </message>
        <message>
            <source>Print head</source>
            <translation>Druckkopf</translation>
        </message>
        <message>
            <source>Sand</source>
            <translation>Sand</translation>
        </message>
        <message>
            <source>Additive</source>
            <translation>Zusatz</translation>
        </message>
        <message>
            <source>Binder</source>
            <translation>Binder</translation>
        </message>
        <message>
            <source>Oven</source>
            <translation>Ofen</translation>
        </message>
        <message>
            <source>Rates</source>
            <translation>Sätze</translation>
        </message>
    </context>
    <context>
        <name>Steps</name>
        <message>
            <source>Reading cores</source>
            <translation>Kerne lesen</translation>
        </message>
        <message>
            <source>Packing</source>
            <translation>Packen</translation>
        </message>
        <message>
            <source>Settling the packing</source>
            <translation>Packung setzen</translation>
        </message>
        <message>
            <source>Layers</source>
            <translation>Schichten</translation>
        </message>
        <message>
            <source>Quantities, time and cost</source>
            <translation>Mengen, Zeit und Kosten</translation>
        </message>
        <message>
            <source>Plan sheet</source>
            <translation>Planblatt</translation>
        </message>
        <message>
            <source>Summary</source>
            <translation>Zusammenfassung</translation>
        </message>
        <message>
            <source>Labels</source>
            <translation>Etiketten</translation>
        </message>
        <message>
            <source>Box cards</source>
            <translation>Kastenkarten</translation>
        </message>
        <message>
            <source>Workbook</source>
            <translation>Arbeitsmappe</translation>
        </message>
        <message>
            <source>Tables</source>
            <translation>Tabellen</translation>
        </message>
        <message>
            <source>Models of the boxes</source>
            <translation>Modelle der Kästen</translation>
        </message>
        <message>
            <source>Models of the cores</source>
            <translation>Modelle der Kerne</translation>
        </message>
        <message>
            <source>Layer drawings</source>
            <translation>Schichtzeichnungen</translation>
        </message>
        <message>
            <source>Done</source>
            <translation>Fertig</translation>
        </message>
    </context>
    <context>
        <name>SummaryView</name>
        <message>
            <source>Figure</source>
            <translation>Größe</translation>
        </message>
        <message>
            <source>Value</source>
            <translation>Wert</translation>
        </message>
        <message>
            <source>Time and cost</source>
            <translation>Zeit und Kosten</translation>
        </message>
        <message>
            <source>The job</source>
            <translation>Der Auftrag</translation>
        </message>
        <message>
            <source>Cost by kind</source>
            <translation>Kosten nach Art</translation>
        </message>
        <message>
            <source>Time, all boxes</source>
            <translation>Zeit, alle Kästen</translation>
        </message>
        <message>
            <source>Sand, binder and additive</source>
            <translation>Sand, Binder und Zusatz</translation>
        </message>
        <message>
            <source>Energy</source>
            <translation>Energie</translation>
        </message>
        <message>
            <source>Cost without margin</source>
            <translation>Kosten ohne Marge</translation>
        </message>
        <message>
            <source>Price</source>
            <translation>Preis</translation>
        </message>
        <message>
            <source>Box {0}</source>
            <translation>Kasten {0}</translation>
        </message>
        <message>
            <source>Cost of one core</source>
            <translation>Kosten eines Kerns</translation>
        </message>
        <message>
            <source>Cost of one casting set</source>
            <translation>Kosten eines Gusssatzes</translation>
        </message>
    </context>
</TS>
