using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Excellon;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Ipc2581;
using HeatSpread.Import.Parts;

namespace HeatSpread.Tests.Import.Fuzzing;

/// <summary>
/// Sound small files of every format, harmed by chance: bytes changed, stretches doubled, dropped or moved, numbers blown up, words of the format put in.
/// A reader must end in a result or in <see cref="UnreadableFileException"/>, soon. Used by the suite and by the benchmark program's <c>fuzz</c>.
/// </summary>
internal static class HarmedFiles
{
    private static readonly ImportLimits Limits = new() { MaxObjects = 5_000, MaxPoints = 100_000, MaxHoles = 5_000, MaxCrossings = 5_000 };

    public static IReadOnlyList<string> Readers { get; } = ["json", "zip", "gerber", "excellon", "ipc2581", "placement", "netlist", "board"];

    private static readonly Dictionary<string, string[]> Seeds = new()
    {
        ["gerber"] =
        [
            "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Copper,L1,Top*%\n%AMT*$3=$1x2*21,1,$1,$2,0,0,$3*1,0,0.2,0,0*4,1,3,0,0,1,0,1,1,0,0,30*5,1,6,0,0,1,15*7,0,0,1,0.5,0.1,20*%\n%ADD10C,0.2*%%ADD20R,2X2X0.5*%%ADD21T,2X1*%%ADD22P,2X6X30*%%ABD30*%D20*X1.0Y1.0D03*%AB*%"
                + "%TO.N,GND*%%TO.P,U1,1*%D21*X5.0Y5.0D03*%LR45*%%LMX*%%LS1.5*%D22*X9.0Y9.0D03*%TD*%%SRX2Y2I1J1*%D30*X3.0Y3.0D03*%SR*%D10*X2.0Y2.0D02*G75*G03X4.0Y2.0I1.0J0.0D01*G01*X8.0D01*"
                + "G36*X10.0Y10.0D02*X15.0D01*Y15.0D01*X10.0D01*Y12.0D01*X12.0D01*Y13.0D01*X13.0D01*Y12.0D01*X10.0D01*Y10.0D01*G37*%LPC*%D10*X11.0Y9.0D02*Y16.0D01*%LPD*%\nM02*\n",
            "G04 old*\n%FSTAN2X23Y34*%\n%MIA1B0*%%SFA1.5B1.5*%%OFA1B2*%%IPNEG*%%ASAYBX*%\n%ADD10R,0.05X0.02*%\nG70*G90*G54D10*X01Y01D02*X015Y01*G74*G02X02Y015I005J0D01*G91*X001Y001D03*M00*\n",
        ],
        ["excellon"] =
        [
            "M48\n;FILE_FORMAT=4:4\nMETRIC,LZ\n;TYPE=PLATED\nT1C0.4\nT2F00S00C1.0\n%\nG90\nG05\nT1\nX0005Y0005\nR3X0001\nT2\nX3.0Y3.0G85X6.0Y3.0\nG00X2.0Y2.0\nM15\nG03X4.0Y2.0A1.0\nG02X5.0Y3.0I1.0J0.0\nM16\nG05\nM25\nX9.0Y9.0\nM01\nM02X1.0Y1.0\nM08\nM30\n",
            ";T01 Holesize 1. = 12.000000 Tolerance = +0/-0 PLATED MILS Quantity = 4\n%\nICI,ON\nT01\nX1000Y1000\nM71\nX1Y1\nG93X1Y1\nX1\nM00\n",
        ],
        ["ipc2581"] =
        [
            "<?xml version=\"1.0\"?><IPC-2581 revision=\"C\" xmlns=\"http://webstds.ipc.org/2581\"><Content><StepRef name=\"b\"/><DictionaryLineDesc units=\"MILLIMETER\"><EntryLineDesc id=\"L\"><LineDesc lineWidth=\"0.2\" lineEnd=\"SQUARE\"/></EntryLineDesc></DictionaryLineDesc>"
                + "<DictionaryUser units=\"INCH\"><EntryUser id=\"U\"><UserSpecial><Contour><Polygon><PolyBegin x=\"0\" y=\"0\"/><PolyStepSegment x=\"0.1\" y=\"0\"/><PolyStepCurve x=\"0\" y=\"0.1\" centerX=\"0\" centerY=\"0\" clockwise=\"false\"/></Polygon><Cutout><PolyBegin x=\"0.01\" y=\"0.01\"/><PolyStepSegment x=\"0.02\" y=\"0.01\"/><PolyStepSegment x=\"0.02\" y=\"0.02\"/></Cutout></Contour><Circle diameter=\"0.05\"><LineDesc lineWidth=\"0.01\" lineEnd=\"ROUND\"/><FillDesc fillProperty=\"HOLLOW\"/></Circle></UserSpecial></EntryUser></DictionaryUser></Content>"
                + "<Ecad><CadHeader units=\"MILLIMETER\"><Spec name=\"S\"><Conductor type=\"CONDUCTIVITY\"><Property value=\"5.9E7\" unit=\"SIEMENS/M\"/></Conductor></Spec></CadHeader><CadData><Layer name=\"T\" layerFunction=\"SIGNAL\" side=\"TOP\"/><Layer name=\"C\" layerFunction=\"DIELCORE\"/><Layer name=\"B\" layerFunction=\"PLANE\" side=\"BOTTOM\" polarity=\"NEGATIVE\"/><Layer name=\"D\" layerFunction=\"DRILL\"><Span fromLayer=\"T\" toLayer=\"B\"/></Layer>"
                + "<Stackup overallThickness=\"1.6\"><StackupGroup name=\"G\"><StackupLayer layerOrGroupRef=\"T\" thickness=\"0.035\" sequence=\"1\"><SpecRef id=\"S\"/></StackupLayer><StackupLayer layerOrGroupRef=\"C\" thickness=\"1.5\" sequence=\"2\"/><StackupLayer layerOrGroupRef=\"B\" thickness=\"0.035\" sequence=\"3\"/></StackupGroup></Stackup>"
                + "<Step name=\"b\"><Profile><Polygon><PolyBegin x=\"0\" y=\"0\"/><PolyStepSegment x=\"20\" y=\"0\"/><PolyStepSegment x=\"20\" y=\"20\"/><PolyStepSegment x=\"0\" y=\"20\"/></Polygon></Profile><PadStackDef name=\"P\"><PadstackPadDef layerRef=\"T\" padUse=\"REGULAR\"><Location x=\"0\" y=\"0\"/><Oval width=\"1\" height=\"2\"/></PadstackPadDef></PadStackDef>"
                + "<Package name=\"K\"><Outline><Polygon><PolyBegin x=\"-1\" y=\"-1\"/><PolyStepSegment x=\"1\" y=\"-1\"/><PolyStepSegment x=\"0\" y=\"1\"/></Polygon></Outline><Pin number=\"1\"><Location x=\"0\" y=\"0\"/></Pin></Package><Component refDes=\"U1\" packageRef=\"K\" layerRef=\"T\"><Xform rotation=\"90\" mirror=\"true\"/><Location x=\"5\" y=\"5\"/></Component>"
                + "<PadStack net=\"N\"><LayerPad layerRef=\"B\"><Xform/><Location x=\"5\" y=\"5\"/><Circle diameter=\"0.7\"/></LayerPad><LayerHole name=\"V\" diameter=\"0.3\" platingStatus=\"VIA\" x=\"5\" y=\"5.001\"><Span fromLayer=\"T\" toLayer=\"B\"/></LayerHole><LayerHole diameter=\"0.4\" x=\"15\" y=\"15\"/></PadStack>"
                + "<LayerFeature layerRef=\"T\"><Set net=\"N\"><Pad padstackDefRef=\"P\"><Xform rotation=\"45\" scale=\"1.5\"/><Location x=\"5\" y=\"5\"/><PinRef componentRef=\"U1\" pin=\"1\"/></Pad><Features><Location x=\"9\" y=\"9\"/><UserPrimitiveRef id=\"U\"/></Features></Set><Set polarity=\"NEGATIVE\"><Features><Line startX=\"1\" startY=\"1\" endX=\"15\" endY=\"9\"><LineDescRef id=\"L\"/></Line></Features></Set>"
                + "<Set><Features><Thermal shape=\"ROUND\" outerDiameter=\"2\" innerDiameter=\"1\" spokeCount=\"4\" gap=\"0.2\" spokeStartAngle=\"45\"/><Moire diameter=\"2\" ringWidth=\"0.1\" ringGap=\"0.1\" ringNumber=\"3\"/></Features></Set></LayerFeature><LayerFeature layerRef=\"D\"><Set net=\"N\"><Hole diameter=\"0.3\" platingStatus=\"VIA\" x=\"5\" y=\"5\"/><SlotCavity platingStatus=\"PLATED\"><Location x=\"9\" y=\"3\"/><Oval width=\"2\" height=\"1\"/></SlotCavity></Set></LayerFeature></Step></CadData></Ecad></IPC-2581>",
        ],
        ["placement"] = ["Ref,Val,PosX,PosY,Rot,Side\n\"C1\",\"1u, 5V\",5.0,5.0,-90,top\nU1,x,14.0mm,12.0mm,0,bottom\n", "Units used: mm\nDesignator Layer    Center-X(mm) Center-Y(mm)\nC1         TopLayer 5.0000       5.0000\n"],
        ["netlist"] = ["P  UNITS CUST 0\nP  NNAME1  LONG\n327VIN              C1    -1           A01X+001772Y+001969X0236Y0315R000S2\n317NNAME1           C1    -2     D0300PA00X+002165Y+001969X0236Y0315R000S2\n999\n"],
    };

    private static readonly string[] Words =
    [
        "%", "*", "D01*", "D03*", "G36*", "G37*", "%LPC*%", "%SRX9Y9I1J1*%", "%AB*%", "X", "-", ".", "(", "$1", "M02*", "M15", "G85", "R99X1", "M02X1Y1", "T2", "<Set>", "</Set>", "<UserPrimitiveRef id=\"U\"/>", "\"", "<!DOCTYPE x>", "&e;", "<Cutout>", "rotation=\"NaN\"", "x=\"1e300\"", ",", ";", "\n", "\0", "é", "\uFEFF",
    ];

    /// <summary>A sound file of a reader, harmed in one to eight places.</summary>
    public static byte[] Make(string reader, Random random)
    {
        if (reader == "json" && random.Next(4) > 0) return HarmedSeeds.ChangedRequest(random);
        var bytes = Seed(reader, random).ToList();
        for (int change = random.Next(1, 9); change > 0 && bytes.Count > 4; change--)
        {
            int at = random.Next(bytes.Count), length = Math.Min(random.Next(1, 40), bytes.Count - at);
            switch (random.Next(7))
            {
                case 0: bytes[at] = (byte)random.Next(256); break;
                case 1: bytes.InsertRange(at, bytes.GetRange(at, length)); break;
                case 2: bytes.RemoveRange(at, length); break;
                case 3: bytes.InsertRange(at, Encoding.ASCII.GetBytes(random.Next().ToString(System.Globalization.CultureInfo.InvariantCulture))); break;
                case 4: bytes.InsertRange(at, Word(reader, random)); break;
                case 5:
                    var moved = bytes.GetRange(at, length);
                    bytes.RemoveRange(at, length);
                    bytes.InsertRange(random.Next(bytes.Count + 1), moved);
                    break;
                default: bytes[at] = (byte)(bytes[at] ^ 1 << random.Next(8)); break;
            }
        }
        return [.. bytes];
    }

    private static byte[] Seed(string reader, Random random)
    {
        if (reader == "zip") return HarmedSeeds.Archives[random.Next(HarmedSeeds.Archives.Count)];
        if (reader == "json") return Encoding.UTF8.GetBytes(HarmedSeeds.Request);
        string[] seeds = Seeds[reader];
        return Encoding.UTF8.GetBytes(seeds[random.Next(seeds.Length)]);
    }

    private static byte[] Word(string reader, Random random)
    {
        if (reader == "zip") return HarmedSeeds.ArchiveWords[random.Next(HarmedSeeds.ArchiveWords.Length)];
        string[] words = reader == "json" ? HarmedSeeds.JsonWords : Words;
        return Encoding.UTF8.GetBytes(words[random.Next(words.Length)]);
    }

    /// <summary>A posted request: its layout, and its conditions for that board.</summary>
    private static bool ReadRequest(byte[] content)
    {
        var parsed = PostedJson.Parse(content);
        if (parsed.Value is null) return false;
        using var document = parsed.Value;
        if (document.RootElement.ValueKind != System.Text.Json.JsonValueKind.Object || !document.RootElement.TryGetProperty("layout", out var given)) return false;
        var layout = LayoutReading.ReadBoard(given, "/layout");
        return document.RootElement.TryGetProperty("conditions", out var around) && ConditionsReader.Read(around, "/conditions", layout.Board, "mm").Value is not null && layout.IsSound;
    }

    /// <summary>Opens an archive within the limits.</summary>
    private static bool ReadArchive(byte[] content)
    {
        var notes = new ImportNotes();
        var files = FileSet.Open([new FabricationFile("files.zip", content)], new ImportLimits(), notes, CancellationToken.None);
        return notes.Faults.Count == 0 && files.Count > 0;
    }

    /// <summary>Reads a file.</summary>
    /// <returns>Whether it was taken; false where a fault was found.</returns>
    public static bool Read(string reader, byte[] content)
    {
        var notes = new FileNotes("harmed");
        string text = Encoding.Latin1.GetString(content);
        try
        {
            switch (reader)
            {
                case "json": return ReadRequest(content);
                case "zip": return ReadArchive(content);
                case "gerber": GerberReader.Read(text, notes, Limits, CancellationToken.None); break;
                case "excellon": DrillFormatChooser.Read(text, new Box(0, 0, 20, 20), notes, Limits, CancellationToken.None); break;
                case "ipc2581": Ipc2581Reader.Read(content, notes, Limits, CancellationToken.None); break;
                case "placement": PlacementFile.Read("harmed", text, new Box(0, 0, 20, 20), notes); break;
                case "netlist": Netlist.Read(text, 2, notes); break;
                default: throw new ArgumentException($"there is no reader '{reader}'", nameof(reader));
            }
            return true;
        }
        catch (UnreadableFileException)
        {
            return false;
        }
    }

    /// <summary>Imports a whole board of which some files are harmed.</summary>
    public static ImportResult ImportBoard(Random random)
    {
        byte[] File(string reader) => random.Next(3) == 0 ? Make(reader, random) : Encoding.UTF8.GetBytes(Seeds[reader][0]);
        List<FabricationFile> files = random.Next(2) == 0
            ? [new("board.xml", Make("ipc2581", random))]
            : [new("copper.gtl", File("gerber")), new("drill-PTH.drl", File("excellon")), new("edge.gm1", Encoding.ASCII.GetBytes("%FSLAX46Y46*%%MOMM*%%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*Y20.0D01*X0.0D01*Y0.0D01*M02*"))];
        files.Add(new("pos.csv", File("placement")));
        files.Add(new("nets.ipc", File("netlist")));
        return FabricationImport.Import(new FabricationDescription { Parts = [new() { Id = "U1", Watts = 1, Body = new Region([new Polygon([new(3, 3), new(9, 3), new(9, 9)])]) }] }, files, Limits, CancellationToken.None);
    }
}
